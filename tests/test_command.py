"""The command line and the desk over it: files written once, questions asked, progress told, nothing lost."""

from __future__ import annotations

import base64
import importlib.util
import io
import json
from pathlib import Path

import pvlib
import pytest

from solarlab.__main__ import Progress, main
from solarlab._shelf import folder as data_folder
from solarlab.own import own_folder, own_ovens, provenance
from solarlab.sheet import desk as bench
from solarlab.sheet.asked import Question, read_oven, read_year
from tests import _repository as repository

GREENSBORO = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
SHEET = ["sheet", "--place", "Nairobi", "--date", "2026-03-10", "--oven", "four-mirror box", "--dish", "egg",
         "--eat", "11:00", "--earliest", "09:00", "--cloud", "1", "--no-pdf"]  # fmt: skip


def test_sheet_is_written_once_and_again_only_when_told(tmp_path, capsys):
    asked = [*SHEET, "--to", str(tmp_path), "--language", "es"]
    assert main(asked) == 0
    (made,) = tmp_path.iterdir()
    assert made.name == "sheet-nairobi-2026-03-10-es.html"
    assert "Hoja del día" in made.read_text("utf-8")
    before = made.read_bytes()
    assert main(asked) == 2
    assert "there already" in capsys.readouterr().err
    assert made.read_bytes() == before


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (["--date", "tomorrow"], "year-month-day"),
        (["--dish", "rise"], "did you mean"),
        (["--weather", "no.epw"], "can't be read"),
        (["--language", "de"], "there is no language"),
        (["--paper", "A5"], "A4 or Letter"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_nothing_is_written(more, sentence, tmp_path, capsys):
    assert main([*SHEET, *more, "--to", str(tmp_path)]) == 2
    told = capsys.readouterr().err.strip().splitlines()
    assert sentence in told[-1]
    assert list(tmp_path.iterdir()) == []


def test_hemisphere_slip_ends_with_a_question_where_nobody_can_answer(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO())
    own = [
        "--latitude",
        "33.9",
        "--longitude",
        "18.4",
        "--elevation",
        "10",
        "--timezone",
        "Africa/Johannesburg",
    ]
    asked = ["sheet", *own, *SHEET[3:], "--to", str(tmp_path / "out")]
    assert main(asked) == 2
    assert "did you mean 33.9° south" in capsys.readouterr().err


def test_year_is_written_with_what_it_saves(tmp_path, capsys):
    asked = ["year", "--weather", str(GREENSBORO), "--timezone", "America/New_York", "--dish", "egg",
             "--oven", "four-mirror box", "--meal", "10:00", "--no-pdf", "--to", str(tmp_path)]  # fmt: skip
    assert main(asked) == 0
    (made,) = tmp_path.iterdir()
    text = made.read_text("utf-8")
    assert "What a year of it saves" in text
    assert "kg of CO₂" in text


def test_log_has_its_own_command_line(capsys):
    with pytest.raises(SystemExit):
        main(["log", "--help"])
    assert "--intervals" in capsys.readouterr().out


def test_progress_is_silent_until_two_seconds_then_counts(capsys):
    told = Progress("Working")
    told(1, 10)
    assert capsys.readouterr().err == ""
    told.begin -= 3.0
    for done in range(2, 11):
        told(done, 10)
    lines = capsys.readouterr().err.splitlines()
    assert lines[-1] == "Working: 100 %"
    assert len(lines) == 9


def test_year_takes_the_place_of_its_file_or_twelve_clouds():
    here, weather, clouds = read_year({"weather": str(GREENSBORO), "timezone": "America/New_York"})
    assert here is weather.place
    assert clouds is None
    here, weather, clouds = read_year({"place": "Nairobi", "clouds": "2, 2 3;5 5 4 4 4 4 4 4 3"})
    assert (here.name, weather, len(clouds)) == ("Nairobi", None, 12)
    with pytest.raises(ValueError, match="twelve oktas"):
        read_year({"place": "Nairobi", "clouds": "few"})
    with pytest.raises(ValueError, match="name a place"):
        read_year({})


def pressed(form, **values):
    """Fill a tab of the desk by the keys of its fields, press its button, and return (message, result)."""
    fields = {child.description: child for child in form.children if hasattr(child, "description")}
    labels = {key: label for key, label, _ in (*bench.LOG, *bench.YEAR, *bench.SHEET)}
    for key, value in values.items():
        fields[labels[key]].value = value
    form.children[-3].children[0].click()
    return form.children[-2].value, form.children[-1].value


def test_desk_makes_a_sheet_keeps_it_through_a_mistake_and_asks(monkeypatch):
    monkeypatch.setattr("solarlab.sheet.files.browser", lambda: None)
    form = bench.desk().children[0]
    good = {"date": "2026-03-10", "menu": "egg", "eat": "11:00", "earliest": "09:00", "cloud": "1"}
    told, sheet = pressed(form, **good)
    assert "expected ready by 11:00" in told
    assert "<iframe" in sheet
    assert "open the HTML file" in sheet
    told, kept = pressed(form, menu="rise")
    assert "did you mean" in told
    assert kept == sheet
    sure = form.children[-4]
    assert sure.layout.display == "none"
    own = {"latitude": "33.9", "longitude": "18.4", "elevation": "10", "timezone": "Africa/Johannesburg"}
    told, kept = pressed(form, menu="egg", **own)
    assert "did you mean 33.9° south" in told
    assert sure.layout.display != "none"
    sure.value = True
    told, _ = pressed(form)
    assert "11:00" in told


def test_desk_tells_what_a_year_and_a_log_lack():
    tabs = bench.desk("sw").children
    told, result = pressed_in("sw", tabs[1], "clouds", "few")
    assert "okta kumi na mbili" in told
    assert result == ""
    tabs[2].children[-3].children[0].click()
    assert "taja angalau faili moja la CSV" in tabs[2].children[-2].value


def pressed_in(code, form, key, value):
    from solarlab.language import language

    label = next(label for name, label, _ in bench.YEAR if name == key)
    next(c for c in form.children if getattr(c, "description", "") == language(code)(label)).value = value
    form.children[-3].children[0].click()
    return form.children[-2].value, form.children[-1].value


def test_question_is_a_value_error():
    assert issubclass(Question, ValueError)


def test_dropped_files_are_kept_whole_and_their_paths_stand_in_the_box():
    form = bench.desk().children[2]
    box = next(c for c in form.children if "files with water" in getattr(c, "description", ""))
    drop = form.children[form.children.index(box) + 1]
    data = "time,T\n2026-02-10 09:00:00,20\n".encode("utf-16")
    sent = [{"name": name, "data": base64.b64encode(data).decode()} for name in ("a.csv", "../b.csv")]
    drop.children[1].value = json.dumps(sent)
    paths = [Path(part) for part in box.value.split("; ")]
    assert [path.name for path in paths] == ["a.csv", "b.csv"]
    assert all(path.read_bytes() == data for path in paths)
    assert len({path.parent for path in paths}) == 1
    drop.children[1].value = "[{}]"
    assert "did not arrive whole" in form.children[-2].value
    assert len(box.value.split("; ")) == 2


LOGGED = ["--place=Bamako", "--oven=one-mirror box", "--water=2.6", "--aimed=20", "--light=sun"]


@pytest.fixture(scope="module")
def measured(tmp_path_factory):
    """One invented day measured from the command line, printed and kept: (its folder, its page)."""
    folder = tmp_path_factory.mktemp("measured")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOLARLAB_HOME", str(folder))
        logged = str(data_folder() / "logs" / "invented-day-1.csv")
        asked = ["log", logged, *LOGGED, "--save", "My own box", "--report", str(folder / "report.html")]
        assert main([*asked, "--language", "fr"]) == 0
        assert main([*asked, "--language", "fr"]) == 2
    return folder, (folder / "report.html").read_text("utf-8")


def test_report_shows_every_rejected_interval_with_its_reason_model_and_what_to_improve(measured):
    _, page = measured
    assert page.count("<img") == 2
    for words in ("Modèle et mesure", "pourquoi il est rejeté", "Que faut-il améliorer", "à (95 sur 100)"):
        assert words in page
    listed = page[page.index('class="numbers"') :]
    rows = listed[: listed.index("</table>")].count("<tr>") - 1
    assert f"Rejetés : {rows} intervalles sur" in page
    assert rows > 5
    assert "hors de 10:00 à 14:00, heure solaire" in page


def test_oven_that_was_kept_is_offered_by_its_name_with_where_it_comes_from(measured, monkeypatch):
    folder, _ = measured
    monkeypatch.setenv("SOLARLAB_HOME", str(folder))
    assert [path.name for path in own_folder().iterdir()] == ["my-own-box.toml"]
    (box,) = own_ovens().values()
    assert box.name == "My own box"
    assert provenance(box) == "fitted to 1 log(s) at Bamako, 2026-02-10"
    assert read_oven("My own box") == box
    tabs = bench.desk("es").children
    chooser = next(c for c in tabs[0].children if hasattr(c, "rows") and hasattr(c, "options"))
    assert chooser.options[0] == ("My own box (propio)", "My own box")
    chooser.value = ("My own box",)
    told = " ".join(c.value for c in tabs[0].children if hasattr(c, "value") and isinstance(c.value, str))
    assert "ajustado a 1 registro(s) en Bamako, 2026-02-10" in told
    (own_folder() / "broken.toml").write_text("nothing", "utf-8")
    assert list(own_ovens()) == ["My own box"]


def test_wrong_base_oven_is_refused_not_given_an_endless_interval(capsys):
    """One invented day in a one-mirror box, measured as if it had four: the loss would have to vanish."""
    logged = str(data_folder() / "logs" / "invented-day-1.csv")
    assert main(["log", logged, *[each.replace("one-", "four-") for each in LOGGED]]) == 0
    assert "No fit: the logs don't fit an oven built like the four-mirror box" in capsys.readouterr().out


def test_bench_says_in_one_sentence_how_to_get_its_page(capsys, monkeypatch):
    script = repository.ROOT / "lessons" / "trainers-bench" / "__main__.py"
    spec = importlib.util.spec_from_file_location("trainers_bench", script)
    bench_page = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(bench_page)
    monkeypatch.setattr(bench_page.importlib.util, "find_spec", lambda name: None)
    assert bench_page.main([]) == 2
    told = capsys.readouterr().err.strip()
    assert "\n" not in told
    assert "pip install voila==" in told
    assert "websockets==" in told


@pytest.mark.parametrize("code", ["es", "fr", "sw"])
def test_the_terminal_complains_in_the_language_asked_for(code, tmp_path, capsys):
    (tmp_path / "empty.csv").write_text("")
    asked = ["log", str(tmp_path / "empty.csv"), "--oven", "bare box", "--place", "Bamako", "--water", "2"]
    assert main([*asked, "--language", code]) == 2
    told = capsys.readouterr().err
    assert told.startswith("empty.csv") and "there is no line of headings" not in told
    assert main([*SHEET, "--language", code, "--date", "soon"]) == 2
    assert "can't be read" not in capsys.readouterr().err


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (["--unit", "K"], "--unit is 'K'; it takes c, f."),
        (["--light", "up"], "--light is 'up'; it takes level, sun."),
        (["--day-first", "maybe"], "--day-first is 'maybe'; it takes yes, no."),
    ],
)
def test_a_word_that_the_log_does_not_know_is_one_sentence(more, sentence, capsys):
    """Not argparse's own exit, which would end the kernel behind the desk."""
    assert main(["log", "x.csv", "--oven", "bare box", "--place", "Bamako", "--water", "2", *more]) == 2
    assert sentence in capsys.readouterr().err
