"""What may be wrong with an input, row by row, and the files and tests that show what is said of it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

SOURCE = "scenario/test_source.py"
ROWS: dict[str, list[str]] = {
    "no file, a folder, an empty file, no text, too large, a pipe or a device": [
        f"{SOURCE}::test_a_missing_file_names_the_nearest", f"{SOURCE}::test_a_folder_is_no_file",
        f"{SOURCE}::test_a_pipe_or_a_device_is_never_waited_for",
        f"{SOURCE}::test_a_large_file_is_not_read_to_its_end",
        "empty", "only_comments", "only_text", "list_at_top", "not_utf8", "binary",
    ],
    "broken writing": [
        "tab", "unclosed_quote", "open_quote", "open_bracket", "double_key", "two_documents", "deep", "directive",
        "anchors_aliases_tags_merge", "alias_of_nothing", "indentation", "no_colon", "no_blank_after_colon",
    ],
    "keys": ["unknown_key", "misplaced_key", "missing_key", "missing_section", "misspelt_block", "empty_key"],
    "quantities": [
        "wrong_unit", "wrong_dimension", "comma", "currency_sign", "percent", "leading_zero", "time_for_number",
        "yes_and_no", "powers_of_ten", "plus_sign", "quotes", "arithmetic", "too_many_digits",
    ],
    "numbers beyond what is possible": [
        "below_and_above", "not_a_number", "huge", "not_whole", "sum_of_shares", "spread_order", "spread_sd",
        "probabilities_above_one", "keys_at_odds_and_more",
    ],
    "a spread that is cut": [
        "scenario/test_spread.py::test_values_beyond_the_bounds_are_set_to_them_and_the_share_is_told",
        "scenario/test_loading.py::test_a_spread_that_is_cut_is_a_warning_at_its_line",
    ],
    "businesses that stand still": [
        "report/test_degenerate.py::test_a_business_that_lacks_something_is_described_in_words",
        "report/test_degenerate.py::test_a_page_of_nothing_but_refusals_draws_no_empty_chart",
    ],
    "far too much": [
        "study/test_foresight.py::test_what_nobody_could_wait_for_is_refused_before_a_world_is_drawn",
        "study/test_foresight.py::test_some_minutes_are_told_once_and_before_the_first_run",
        "world/test_arrivals.py::test_events_without_end_are_refused",
        "plugin/builtin/test_crowds.py::test_needs_without_end_are_refused",
        "workshop/test_play.py::test_what_goes_round_without_time_passing_is_stopped_and_says_so",
        "scenario/test_heavy.py::test_the_heaviest_files_end_in_little_memory",
        "scenario/test_heavy.py::test_no_bad_file_takes_long_or_much_memory",
        "study/test_foresight.py::test_whoever_writes_too_much_reads_what_it_would_take",
    ],
    "files that lead elsewhere": [
        "extends_circle", "extends_itself", "extends_out_of_the_folder", "extends_address", "extends_root",
        "data_file_out_of_the_folder", "data_file_from_the_net", "model_that_is_a_path",
        "scenario/test_extends.py::test_a_base_that_is_a_link_out_of_the_folder_is_refused",
        "scenario/test_data.py::test_a_link_that_leads_out_is_refused",
        "scenario/test_data.py::test_names_that_lead_nowhere_are_told",
        "scenario/test_data.py::test_a_pipe_or_a_folder_is_never_opened",
        "cli/test_data_places.py::test_a_weather_file_that_is_none_is_told",
        "scenario/test_data.py::test_a_package_is_looked_for_and_not_run",
        "scenario/test_extends.py::test_a_link_that_leads_to_itself_is_told",
        "cli/test_commands.py::test_what_is_set_on_the_command_line_runs_nothing_and_leads_nowhere",
    ],
    "packages that do wrong": [
        "plugin/test_faults.py::test_what_a_package_does_wrong_is_told_with_all_that_it_takes_to_find_it",
        "plugin/test_faults.py::test_the_command_that_is_told_repeats_the_fault",
    ],
    "names that would do harm": [
        "control_character", "escape_in_quotes", "long_key", "long_name", "name_over_lines",
        "cli/test_hostile_names.py::test_the_terminal_is_shown_names_and_obeys_none",
        "cli/test_hostile_names.py::test_no_cell_of_any_table_is_a_formula",
        "cli/test_hostile_names.py::test_the_page_runs_its_own_script_and_nothing_of_a_name",
        "report/test_browser.py::test_a_hostile_name_is_shown_as_it_is_and_does_nothing",
    ],
    "options alike, of one name, none, very many": [
        "scenario/test_loading.py::test_options_that_do_the_same_are_a_warning", "double_key", "same_name_twice",
        "study/test_foresight.py::test_what_nobody_could_wait_for_is_refused_before_a_world_is_drawn",
    ],
    "places to write to": [
        "report/test_folder.py::test_a_folder_that_may_not_be_written_is_told",
        "report/test_folder.py::test_a_full_disk_is_told_in_a_sentence",
        "report/test_folder.py::test_nothing_is_half_written",
        "cli/test_studies.py::test_stopped_by_ctrl_c_the_same_command_goes_on_and_writes_what_it_would_have_written",
        "cli/test_process.py::test_ctrl_c_ends_at_once_with_130_writes_nothing_and_leaves_no_process",
    ],
}  # fmt: skip


@pytest.mark.parametrize("row", ROWS)
def test_what_shows_a_row_of_the_table_is_there(row: str, root: Path) -> None:
    for one in ROWS[row]:
        place, _, name = one.partition("::")
        if not name:
            assert (root / "tests" / "scenario" / "bad" / f"{one}.yaml").is_file(), one
            assert (root / "tests" / "scenario" / "bad" / f"{one}.txt").is_file(), one
            continue
        text = (root / "tests" / place).read_text(encoding="utf-8")
        assert re.search(rf"^def {name}\(", text, re.M), one
