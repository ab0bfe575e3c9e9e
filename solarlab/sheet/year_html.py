"""The year calendar as one HTML page: a heat map per dish with its numbers, and what a year saves."""

from __future__ import annotations

from html import escape

from .. import fuel
from ..language import Language
from ..plan.kitchen import Dish
from ..plan.year import Year, picture, solar_cooks
from ..water import boiling_point, pressure_at
from .mistakes import spoken

TENDING = ((30.0, 60.0), (10.0, 25.0))  # minutes at a stove, minutes at an oven: our own estimate, no source
STYLE = """
@page { size: A4 landscape; margin: 10mm; }
body { font: 9.5pt/1.35 "DejaVu Sans", Verdana, Arial, sans-serif; color: #000; max-width: 277mm;
  margin: auto; }
h1 { font-size: 14pt; margin: 0; } h2 { font-size: 11pt; margin: 3mm 0 1mm; }
section { break-inside: avoid; } img { max-width: 100%; height: auto; }
details { font-size: 8pt; } table { border-collapse: collapse; }
td, th { border: .4pt solid #000; padding: 0 1.5mm; }
"""


def savings(one: Year, menu: list[Dish], stove: str, per_week: float, say: Language) -> list[str]:
    """One sentence per oven and dish: cooks, fuel, CO₂ and hours saved in a year, with ranges."""
    boil = float(boiling_point(pressure_at(one.place.elevation)))
    told = []
    for o, oven in enumerate(one.ovens):
        for d, dish in enumerate(menu):
            cooks = solar_cooks(one, o, d, per_week)
            heat = fuel.stove_heat(dish.food, dish.pot, boiling_point=boil)
            got = fuel.saved(heat, stove, cooks=cooks)
            hours = fuel.tending_saved(*TENDING, cooks=cooks)
            told.append(
                say(
                    "{oven}, {dish}: {cooks} cooks a year; saves {fuel} kg of fuel, {carbon} kg of CO₂, "
                    "{hours} hours of tending.",
                    oven=say.start(oven),
                    dish=say(one.dishes[d]),
                    cooks=say.number(cooks),
                    fuel=_span(say, got.fuel),
                    carbon=_span(say, got.carbon_dioxide),
                    hours=_span(say, hours),
                )
            )
    return told


def _span(say: Language, found: fuel.Range) -> str:
    return f"{say.number(found.low)}–{say.number(found.high)}"


def page_html(
    one: Year, menu: list[Dish], say: Language, *, stove: str = "wood, open fire", per_week: float = 5.0
) -> str:
    """The whole calendar as one document; ``menu`` is what the year was made from."""
    title = say("A year of sun: {place}", place=one.place.name)
    sections = []
    for d in range(len(one.dishes)):
        drawn = picture(one, d, say)
        sections.append(
            f"<section><h2>{escape(drawn.title)}</h2>{drawn.image_html()}"
            f"<details><summary>{escape(say('the same as a table'))}</summary>{drawn.words_html()}</details>"
            "</section>"
        )
    source = {
        "file": say(
            "Every day of one real year, cooked once from each start, each with its own draw of oven "
            "and load."
        ),
        "month": say("Days drawn from the months' mean cloud that you typed: wide, and no real year."),
    }[one.source]
    told = fuel.saved((1.0, 1.0), stove).counterfactual
    against = " ".join(spoken(say, f"{sentence.rstrip('.')}.") for sentence in told.split(". "))
    rows = "".join(f"<li>{escape(line)}</li>" for line in savings(one, menu, stove, per_week, say))
    notes = [
        source,
        say("A cell is about 30 days: 80 may be 70 or 90. White and crossed: no sun yet."),
        say(
            "Ready means cooked, its safety clock kept, and still fit to eat at the meal; never safe until "
            "measured."
        ),
    ]
    weekly = say(
        "Trying {count} times a week, each month at its best hour; ranges hold 8 of 10 cases.",
        count=say.number(per_week),
    )
    return (
        f'<!DOCTYPE html><html lang="{say.code}"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        f"<style>{STYLE}</style></head><body><h1>{escape(title)}</h1>"
        + "".join(f"<p>{escape(note)}</p>" for note in notes)
        + "".join(sections)
        + f"<section><h2>{escape(say('What a year of it saves'))}</h2><p>{escape(weekly)} "
        f"{escape(against)}</p><ul>{rows}</ul></section></body></html>\n"
    )
