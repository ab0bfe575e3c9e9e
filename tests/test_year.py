"""The year: counted from real days, the safety clock kept, with progress, in a picture that has its words."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pvlib
import pytest

from solarlab import food, oven, place, pot, read_weather
from solarlab.language import language
from solarlab.plan import Dish
from solarlab.plan.year import picture, solar_cooks, year
from solarlab.sheet.year_html import page_html

GREENSBORO = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
RICE = Dish(food("rice"), pot("dark enamelled steel"))
BOTH = [oven("bare box"), oven("four-mirror box")]


@pytest.fixture(scope="module")
def weather():
    return read_weather(GREENSBORO, "America/New_York")


@pytest.fixture(scope="module")
def seen():
    return []


@pytest.fixture(scope="module")
def made(weather, seen):
    return year(weather.place, BOTH, [RICE], weather=weather, meal="18:00", every=180,
                progress=lambda done, total: seen.append((done, total)))  # fmt: skip


def test_every_day_of_the_file_is_cooked_once_from_a_daylight_start(made):
    noon = made.starts.index(720)
    assert made.days[0, 0, :, noon].tolist() == [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    assert np.isnan(made.chance[made.days == 0]).all()
    assert ((made.chance >= 0) | np.isnan(made.chance)).all()
    assert (np.nan_to_num(made.chance) <= 1).all()


def test_progress_runs_to_its_end(made, seen):
    assert seen[-1] == (len(made.starts) * 2, len(made.starts) * 2)
    assert [done for done, _ in seen] == list(range(1, len(seen) + 1))


def test_mirrors_and_summer_help(made):
    chance = np.nan_to_num(made.chance[:, 0])
    assert chance[1].mean() > chance[0].mean()
    assert chance[:, 4:8].mean() > chance[:, [0, 1, 10, 11]].mean()


def test_last_start_before_the_meal_is_worse_than_noon(made):
    assert made.starts[-1] == 900
    best = np.nan_to_num(made.chance[0, 0]).mean(axis=0)
    assert best[-1] < best[made.starts.index(720)]


def test_clock_runs_out_more_often_the_longer_it_stays_in_the_oven(weather):
    """Chicken put in at nine for nine at night is ready early, but has gone cold for too long."""
    bird = Dish(food("chicken pieces"))
    soon, late = (
        year(weather.place, BOTH[1:], [bird], weather=weather, meal=meal, every=540).chance[0, 0, 5, 0]
        for meal in ("15:00", "23:30")
    )
    assert late < 0.1 < soon


def test_clear_months_beat_grey_ones_without_a_file():
    here = place("Nairobi")
    clouds = [0.5] * 6 + [7.5] * 6
    got = year(here, BOTH[1:], [RICE], mean_oktas=clouds, meal="14:00", every=180)
    chance = np.nanmean(got.chance[0, 0], axis=-1)
    assert chance[:6].min() > chance[6:].max()
    assert got.source == "month"
    assert got.days.max() == 30


def test_southern_winter_is_in_july():
    got = year(place("Melbourne"), BOTH[:1], [RICE], mean_oktas=[3] * 12, meal="14:00", every=180)
    chance = np.nan_to_num(got.chance[0, 0]).max(axis=-1)
    assert chance[[0, 1, 11]].mean() > chance[[5, 6, 7]].mean()


def test_picture_has_a_cell_for_each_number_and_says_the_best_start(made):
    drawn = picture(made)
    assert len(drawn.table) == 12
    assert drawn.table.shape[1] == 1 + 2 * len(made.starts)
    assert "Bare box" in drawn.alt
    written = [text.get_text() for axes in drawn.figure.axes for text in axes.texts]
    assert len(written) == int(np.isfinite(made.chance).sum())


def test_expected_cooks_are_no_more_than_the_days(made):
    assert 0 < solar_cooks(made, 1, 0, 7.0) <= 365.25
    assert solar_cooks(made, 1, 0, 3.5) == pytest.approx(solar_cooks(made, 1, 0, 7.0) / 2)


def test_page_states_the_counterfactual_and_speaks_the_language(made):
    for code in ("en", "es"):
        text = page_html(made, [RICE], language(code))
        against = "Against the same dishes cooked with wood, open fire; 50% to 100% of solar cooks"
        assert (against in text) == (code == "en")
        assert ("Frente a los mismos platos cocinados con leña, fuego abierto" in text) == (code == "es")
        assert text.count("<img") == 1
        assert "alt=" in text
        assert f'lang="{code}"' in text


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"mean_oktas": None}, "weather file, or twelve"),
        ({"mean_oktas": [3] * 11}, "twelve numbers"),
        ({"mean_oktas": [40] * 12}, "oktas, 0"),
        ({"meal": "05:00"}, "no daylight start"),
        ({"ovens": []}, "at least one oven"),
    ],
)
def test_impossible_years_are_one_sentence(change, sentence):
    asked = {"ovens": BOTH, "mean_oktas": [3] * 12, "meal": "18:00"} | change
    with pytest.raises(ValueError, match=sentence):
        year(place("Nairobi"), asked["ovens"], [RICE], mean_oktas=asked["mean_oktas"], meal=asked["meal"])
