from __future__ import annotations

import pytest

from planner.scenario.wording import blank_missing, explain_number


@pytest.mark.parametrize(
    ("text", "currency", "advice"),
    [
        ("0,2", None, "write a decimal point: 0.2"),
        ("-0,25 degC", None, "write a decimal point: -0.25"),
        ("1,500", None, "write a decimal point, and thousands without a gap: 1.500 or 1500"),
        ("1,500.5 kg", None, "write thousands without a gap: 1500.5"),
        ("1,250,000", None, "write thousands without a gap: 1250000"),
        ("8 €/h", "EUR", "code after the number: 8 EUR/h"),
        ("€8/h", "EUR", "code after the number: 8 EUR/h"),
        ("$300", "CAD", "code after the number: 300 CAD"),
        ("$300", "EUR", "code after the number: 300 USD"),
        ("£0.85/kg", None, "code after the number: 0.85 GBP/kg"),
    ],
)
def test_a_number_written_oddly_is_shown_as_it_should_be(
    text: str, currency: str | None, advice: str
) -> None:
    assert (explain_number(text, currency) or "").endswith(advice)


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("  hour_price:8", "write `hour_price: 8`"),
        ("- power:9 kW", "write `power: 9 kW`"),
        ("data: https://example.org", None),
        ("see:", None),
        ("https://example.org", None),
    ],
)
def test_a_missing_blank_after_a_colon_is_seen(text: str, advice: str | None) -> None:
    found = blank_missing(text)
    assert found is None if advice is None else (found or "").endswith(advice)
