"""What a trainer types is understood or answered in one sentence."""

from __future__ import annotations

import pytest

from solarlab.sheet.asked import Question, read

GOOD = {"place": "Nairobi", "date": "2026-03-10", "ovens": "bare box", "menu": "rice in glass; egg"}
OWN = {"latitude": "33.9", "longitude": "18.4", "elevation": "10", "timezone": "Africa/Johannesburg"}


def test_what_a_trainer_types_is_understood():
    got = read(GOOD | {"air": "54 F 75 F", "cloud": "month 5", "people": "30", "skyline": "90:15, 120:25"})
    assert got.outlook.air == pytest.approx((12.2, 23.9), abs=0.1)
    assert got.outlook.mean_oktas == 5.0
    assert got.group == 30
    assert [dish.pot and dish.pot.name for dish in got.menu] == ["glass", None]
    dish = read(GOOD | {"menu": "800 g lentils, stove 20 min, open 40 min in clay"}).menu[0]
    assert (dish.food.mass, dish.stove_minutes, dish.openings, dish.pot.name) == (0.8, 20.0, (40.0,), "clay")


def test_hemisphere_slip_is_asked_and_an_answer_lets_it_pass():
    ask = {key: value for key, value in GOOD.items() if key != "place"} | OWN
    with pytest.raises(Question, match=r"did you mean 33\.9° south"):
        read(ask)
    assert read(ask | {"sure": "yes"}).outlook.place.latitude == 33.9
    assert read(ask | {"latitude": "33.9 S"}).outlook.place.latitude == -33.9
    north_of_the_line = ask | {"latitude": "2.5", "longitude": "37", "timezone": "Africa/Nairobi"}
    assert read(north_of_the_line).outlook.place.latitude == 2.5


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"place": "Nairobbi"}, "did you mean 'Nairobi'"),
        ({"date": "10/3/26"}, "year-month-day"),
        ({"menu": "rise"}, "did you mean 'rice'"),
        ({"menu": ""}, "at least one dish"),
        ({"menu": "0 kg rice"}, "weighs nothing; write it as 0.4 kg rice"),
        ({"menu": "-1 kg rice"}, "weighs nothing"),
        ({"people": "2.5"}, "people '2.5' can't be read; write a number from 1 to 2000"),
        ({"ovens": "microwave"}, "there is no oven"),
        ({"cloud": "9"}, "oktas from 0 to 8"),
        ({"weather": "nowhere.csv"}, "can't be read"),
        ({"weather": __file__}, "weather|TMY3|EPW"),
        ({"air": "70 80"}, "is it in °F"),
        ({"air": "warm"}, "coolest and the warmest"),
        ({"people": "many"}, "write a number"),
        ({"eat": "late"}, "clock|HH:MM|read"),
        ({"latitude": "1", "place": ""}, "needs longitude, elevation, timezone"),
        ({"skyline": "trees"}, "bearing:height"),
    ],
)
def test_bad_input_is_one_sentence(change, sentence):
    with pytest.raises(ValueError, match=sentence) as caught:
        read(GOOD | change)
    assert "\n" not in str(caught.value)
