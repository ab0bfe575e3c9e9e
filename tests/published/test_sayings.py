"""Sayings of the trade against the model: the committed table is what is computed, row by row.

The sayings are common practice, no source; each function in `sayings` states how it is read.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from solarlab import Handling, cook, food, instants, oven, place, portion, pot, sky
from tests.published import sayings_table as table
from tests.published._kitchen import Burner, kitchen_minutes
from tests.published._saying import DRAWS, NEVER, Row
from tests.published.sayings import compute

# How many rows each saying has: a row that goes missing is a failure, not a shorter table.
ROWS = {
    "A well-insulated mirrored box in clear sun, re-aimed, empty, passes 150 °C and can near 200 °C.": 3,
    "Lightly loaded and re-aimed every half hour, the box stays near kitchen-oven temperatures.": 4,
    "Outside temperature matters little beside direct sun: 30 → 0 °C costs less than clear → 6 oktas.": 4,
    "Wind costs more than people think.": 4,
    "Tilt the box steeply early, late and in winter; nearly flat at a summer midday.": 4,
    "Good reflector sheet returns .80-.90 of the sunlight.": 1,
    "A glass pot takes about a tenth longer than thin dark enamelled steel.": 4,
    "A shiny pot takes clearly longer than thin dark enamelled steel.": 8,
    "Rice, pasta and sauces take about a third less water than on a stove.": 6,
    "A dry egg on the tray sets hard without water.": 3,
    "A loaf of 45-60 kitchen minutes takes 2-2.5 h where a veil of cloud holds the box near 90-110 °C.": 3,
    "A loaf baked so is none the worse.": 1,
    "Aimed once toward the equator in mid-morning and left, a pot meal is cooked by late afternoon.": 4,
    "A frozen chicken can be left in the oven all day.": 4,
    "The glass cannot burn you.": 11,
}
FROZEN, GLASS = list(ROWS)[-2:]


@pytest.fixture(scope="module")
def rows() -> dict[str, Row]:
    return compute()


@pytest.fixture(scope="module")
def committed() -> list[dict[str, str]]:
    return table.read(table.TABLE.read_text(encoding="utf-8"))


def test_every_saying_has_all_its_rows(rows, committed):
    assert Counter(row.saying for row in rows.values()) == ROWS
    assert Counter(line["saying"] for line in committed) == ROWS
    assert [line["key"] for line in committed] == list(rows)


def test_committed_table_is_what_is_computed(rows, committed):
    """Words to the letter; numbers to one unit of the last digit written."""
    for (key, row), line in zip(rows.items(), committed, strict=True):
        expected = table.cells(key, row)
        numbers = ("model_10", "model_50", "model_90")
        assert {k: v for k, v in expected.items() if k not in numbers} == {
            k: v for k, v in line.items() if k not in numbers
        }
        for name in numbers:
            if "never" in (expected[name], line[name]):
                assert expected[name] == line[name], key
            else:
                unit = 10.0 ** -table.DIGITS[row.unit]
                assert float(line[name]) == pytest.approx(float(expected[name]), abs=1.01 * unit), key


def test_page_is_made_from_the_table():
    text = table.TABLE.read_text(encoding="utf-8")
    assert table.PAGE.read_text(encoding="utf-8") == table.markdown(text)


def test_draws_are_many_and_each_has_an_outcome(rows):
    for key, row in rows.items():
        assert row.draws.shape[0] >= DRAWS >= 200, key
        assert not np.any(np.isnan(row.draws)), key
        assert np.ptp(row.draws[np.isfinite(row.draws)]) > 0.0, key


def test_every_disagreement_is_written_down(rows):
    amiss = {row.saying for row in rows.values() if not row.agrees}
    assert amiss <= set(table.LESSONS) <= set(ROWS)


def test_frozen_chicken_left_in_the_oven_is_contradicted(rows):
    """Not one draw in ten of a bird that is *left* is through the danger zone within 2 h."""
    left = [row for row in rows.values() if row.saying == FROZEN and "and left" in row.condition]
    assert len(left) == 3
    for row in left:
        assert row.dangerous and row.model[0] > 2.0 and table.verdict(row) == table.CONTRADICTED


def test_glass_that_cannot_burn_is_contradicted(rows):
    """Every box has a pane that nine draws in ten find above 60 °C."""
    panes = [row for row in rows.values() if row.saying == GLASS and row.model[0] > 60.0]
    hot = {row.condition.split(",")[0] for row in panes}
    assert hot == {"four-mirror box", "school box", "one-mirror box", "bare box"}


@pytest.mark.parametrize(
    ("draws", "said", "agrees"),
    [
        (np.arange(101.0), (90.0, 200.0), True),  # touches the range 10 … 90
        (np.arange(101.0), (91.0, 200.0), False),
        (np.arange(101.0), (0.0, 9.0), False),
        (np.where(np.arange(101) > 50, np.nan, 5.0), (0.0, 10.0), True),  # half of them do
        (np.where(np.arange(101) > 5, np.nan, 5.0), (0.0, 10.0), False),  # hardly one does
    ],
)
def test_a_saying_agrees_where_it_overlaps(draws, said, agrees):
    assert Row("", "", "", "min", said, draws).agrees is agrees


def test_never_is_written_as_never():
    row = Row("", "", "", "min", (0.0, 10.0), np.array([5.0] * 50 + [np.nan] * 51))
    assert row.model == (5.0, NEVER, NEVER)
    assert table.rounded(row) == ("5", "never", "never")


def test_burner_boils_off_what_its_heat_pays_for():
    """1000 W, half of it into the pot, 10 min: .133 kg less what 46-64 W of losses take."""
    vessel = pot("dark enamelled steel")
    plain = Burner(power=(1000.0, 1000.0), minutes=(10.0, 10.0), lid=False)
    gone = plain.boiled_off(vessel, np.random.default_rng(1), 500)
    paid = np.array([0.4, 0.6]) * 1000.0 * 600.0 / 2.257e6
    lost = np.array([14.0, 10.0]) * np.pi * 0.20 * 0.11 * 75.0 * 600.0 / 2.257e6
    assert gone.min() >= paid[0] - lost[0] - 1e-9 and gone.max() <= paid[1] - lost[1] + 1e-9
    assert np.all(replace(plain, power=(10.0, 10.0)).boiled_off(vessel, np.random.default_rng(1), 5) == 0.0)


def test_kitchen_oven_bakes_sooner_when_hotter_and_needs_no_sun():
    took = kitchen_minutes(food("loaf"), pot("open tin"), np.array([110.0, 160.0, 200.0]))
    assert np.all(np.isfinite(took)) and np.all(np.diff(took) < 0.0)


@pytest.mark.parametrize("name", ["four-mirror box", "one-mirror box", "bare box"])
def test_contact_with_the_tray_decides_between_glass_and_shiny(name):
    """What the page says under its table: with a fifth of the contact the order turns round."""
    here = place("Phoenix")
    under = sky(here, instants(here, "2026-03-20", start="07:00", end="18:00"), oktas=0.5)
    soup = portion(food("soup"), mass=1.25)

    def minutes(kind, share):
        vessel = pot(kind)
        vessel = replace(vessel, contact_conductance=share * vessel.contact_conductance)
        return cook(under, oven(name), vessel, soup, Handling("10:00", 30), keep="outcome").done / 60.0

    assert minutes("glass", 1.0) > minutes("shiny stainless", 1.0) > minutes("dark enamelled steel", 1.0)
    assert minutes("shiny stainless", 0.2) > minutes("glass", 0.2) > minutes("dark enamelled steel", 0.2)
    assert minutes("dark enamelled steel", 0.2) < 1.2 * minutes("dark enamelled steel", 1.0)
