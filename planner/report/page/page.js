// Draws every chart when its place comes near the screen, and before printing. Only vegaEmbed is there.
const drawn = new WeakSet();
const report = { asked: 0, drawn: 0, failed: [] };
window.report = report;

async function draw(place) {
  if (drawn.has(place)) return;
  drawn.add(place);
  report.asked += 1;
  const spec = JSON.parse(document.getElementById(place.dataset.spec).textContent);
  try {
    await vegaEmbed(place, spec, { ast: true, actions: false, renderer: "svg", defaultStyle: false });
    report.drawn += 1;
  } catch (error) {
    report.failed.push(place.dataset.spec + ": " + error);
    place.textContent = "This chart could not be drawn; the table below it says the same.";
  }
}

function drawAll() {
  return Promise.all([...document.querySelectorAll(".chart")].map(draw));
}

const near = new IntersectionObserver(
  (entries) => entries.filter((entry) => entry.isIntersecting).forEach((entry) => draw(entry.target)),
  { rootMargin: "600px" },
);
document.querySelectorAll(".chart").forEach((place) => near.observe(place));
window.addEventListener("beforeprint", () => {
  document.querySelectorAll("details.further").forEach((one) => (one.open = true));
  drawAll();
});
window.drawAll = drawAll;

// Every figure of an option: made when it is first unfolded, since together they would be most of the page.
function cell(row, kind, text) {
  const made = document.createElement(kind);
  made.textContent = text;
  row.append(made);
  return made;
}

function unfold(details) {
  const { heads, labels, units, options } = JSON.parse(document.getElementById("figures").textContent);
  const table = document.createElement("table");
  const head = table.createTHead().insertRow();
  heads.forEach((text) => (cell(head, "th", text).scope = "col"));
  const body = table.createTBody();
  options[details.dataset.option].forEach(([at, ...texts]) => {
    const row = body.insertRow();
    cell(row, "th", labels[at]).scope = "row";
    texts.forEach((text) => cell(row, "td", text));
    cell(row, "td", units[at]).className = "text";
  });
  details.querySelector(".scroll").append(table);
}

document.querySelectorAll("details.every").forEach((details) =>
  details.addEventListener("toggle", () => unfold(details), { once: true }),
);
