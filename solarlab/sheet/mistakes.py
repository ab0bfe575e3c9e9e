"""What is wrong, in the sheet's languages: sentences of many rooms, found again by their shape.

Rooms complain in English, with the values already in the sentence.  `spoken` knows the sentence's shape,
takes the values out and says it in another language; a sentence it does not know stays English, never lost.
"""

from __future__ import annotations

import re
from functools import cache

from ..language import LOCALES, Language, language
from . import logged
from .parts import later

#: Sentences by shape; values stand in braces.  Those of the rooms `plan` and `sheet` are all here (a test).
SENTENCES = (
    later("loading at {time} with {minutes} min of preheat must lie within the day and before {end}."),
    later("give oktas for the day or mean_oktas for the month, not both."),
    later("a plan needs at least one dish and one oven."),
    later("a plan takes up to {dishes} dishes and {ovens} ovens; got {menu} and {count}.  Make two sheets."),
    later(
        "eating at {time} leaves no time to cook after putting out the oven at {earliest} and {minutes} min "
        "of preheating; start earlier or eat later."
    ),
    later("{load} overfill the pot ({pot}); share them among more pots."),
    later(
        "a skyline needs one height for each bearing; there are {bearings} bearings and {heights} heights."
    ),
    later("the skyline's {text} can't be read; write bearing:height in degrees, such as 90:15, 120:25."),
    later("a year needs at least one oven and one dish."),
    later("give a weather file, or twelve monthly means of cloud in oktas."),
    later("mean_oktas must be twelve numbers, January first; got {count}."),
    later("mean cloud is in oktas, 0 (clear) to 8 (overcast); percent / 12.5 gives oktas."),
    later("no daylight start lies before the meal at {time}; give a later one."),
    later("name at least one {thing}; there are {names}."),
    later("the dish {words} weighs nothing; write it as 0.4 kg rice."),
    later("paper is {paper}; it is {papers}."),
    later("a place of your own needs {names} too."),
    later("name a place, or give a weather file, which has one of its own."),
    later(
        "cloud {text} can't be read; it is unknown, clear, oktas from 0 to 8, or 'month' and the month's "
        "mean oktas."
    ),
    later(
        "air {text} can't be read; give the coolest and the warmest of the day, such as 12 24 or 54 F 75 F."
    ),
    later("air of {low} to {high} °C is outside -40 to 55 °C; is it in °F?  Write 54 F 75 F."),
    later("{name} is {value}; it lies between {low} and {high}."),
    later("name a place, or give latitude, longitude, elevation and timezone."),
    later("the weather file {name} can't be read; give the path of a TMY3, EPW or PVGIS file."),
    later("the date {text} can't be read; write year-month-day, such as 2026-03-10."),
    later("{name} {text} can't be read; write degrees, such as -1.29 or 1.29 S."),
    later("{name} {text} can't be read; write a number from {low} to {high}."),
    later("clouds {text} can't be read; write twelve oktas, such as 2 2 3 5 5 4 4 4 4 4 4 3."),
    later("declination is {degrees}°; it lies between -90 and 90, east positive."),
    later("a group of {count} can't be planned for; give 1 to 2000 people."),
    later(
        "no Chromium, Chrome or Edge was found to make a PDF; open the HTML file in any browser and print it."
    ),
    later("{name} is there already; choose another name, or say to replace it."),
    later("the browser made no PDF; open the HTML file and print it."),
    later("the browser did not make the PDF; open the HTML file and print it."),
    later(
        "Latitude {degrees}° {side} is far from {zone}; did you mean {same}° {other}, {number}?  If it is "
        "meant, say that you are sure."
    ),
    # Of other rooms, what a trainer meets most.
    later("there is no {kind} {name}; {rest}"),
    later("did you mean {names}?"),
    later("'{one}' or '{other}'"),
    later("A4 or Letter"),
    later("there are {names}."),
    later("Time zone {name} is not known; {rest}"),
    later("The sun does not rise at {place} on this date."),
    later("The sun is below the horizon all through these times."),
    later("The weather file is for {place}, {distance} km away and {height} m lower."),
    later("The weather file is for {place}, {distance} km away and {height} m higher."),
    later("The weather file has no {date} in any year; its {count} days run from {first} to {last}."),
    later("There is no weather file {name} in {folder}."),
    later("{name} is not a weather file of a known kind; give {kinds}."),
    later("{name} is read as {kind} but {reason}."),
    later("A clock time reads HH:MM, from 00:00 to 24:00, got {text}."),
    later("name at least one CSV file from the logger."),
    later("say how much water was in the pot, such as --water 2.5 (kg)."),
    later("there is no fitted oven to save; the notes above say why."),
    later("{name} is already there; choose another name, or say replace=True."),
    later("{name} is already there; add --replace, or choose another name."),
    later("{name} can't be read; give the path of a logger's CSV file."),
    later("{name} can't be read; give the path of an oven's TOML file."),
    later("fitted to {count} log(s) at {place}, {days}"),
    later("the files did not arrive whole; drop them again, or type their paths."),
    later("{name} is larger than {size} MB; type its path instead."),
    later("{name} can't name an oven; use letters or numbers."),
    later("The wind was not measured; {speed} m/s is assumed."),
    later("The air was not measured; {degrees} °C is assumed."),
    later("Loss and light are hard to tell apart here: log the cooling down as well, or the empty oven too."),
    later("The standard asks {points} points on {days} days."),
    later("No {what}: {reason}."),
    later(
        "the logs don't fit an oven built like the {oven}: its {part} would have to be {times} times as "
        "large, the utmost that is looked for; name the oven it was built like, and check sizes, load and "
        "light sensor."
    ),
    later(
        "the logs leave the loss of an oven like the {oven} open, from {low} to {high} times as large: log "
        "the cooling down as well, or the empty oven too."
    ),
)
#: What a saving is counted against, as `fuel` says it.
AGAINST = (
    later(
        "Against the same dishes cooked with {stove}; {low} to {high} of solar cooks are taken to replace "
        "one."
    ),
    later("Of the wood's carbon only the {low} to {high} that does not grow back is counted, a world mean."),
    later("Of the wood's carbon only the {low} to {high} that does not grow back is counted."),
)
#: Words that stand in those sentences.
WORDS = (
    later("north"), later("south"), later("dish"), later("oven"), later("pot"), later("food"), later("place"),
    later("latitude"), later("longitude"), later("elevation"), later("wind"), later("people"),
    later("preheat"), later("declination"), later("loss"), later("light"), later("wood, open fire"),
    later("wood, improved stove"), later("charcoal"), later("LPG"), later("kerosene"), later("fuel"),
)  # fmt: skip


def spoken(say: Language, sentence: str) -> str:
    """The sentence, its values already in it, in another language; unchanged where its shape is not known."""
    told = say(sentence)
    if say.code == "en" or told != sentence:
        return told
    for shape, message in _shapes():
        found = shape.fullmatch(sentence)
        if found:
            return say(message, **{name: spoken(say, value) for name, value in found.groupdict().items()})
    if sentence[-1:].isalpha() or sentence[-1:] == ")":  # a sentence within another has lost its full stop
        whole = spoken(say, f"{sentence}.")
        return whole.removesuffix(".") if whole != f"{sentence}." else sentence
    return sentence


def said_to(code: str, error: Exception) -> str:
    """A complaint in the language of that code; in English where there is no such language."""
    return spoken(language(code if code in LOCALES else "en"), str(error))


@cache
def _shapes() -> tuple[tuple[re.Pattern, str], ...]:
    """Patterns, the most telling first: that with the most letters of its own."""
    from .report_html import REASONS

    def shape(message: str) -> re.Pattern:
        parts = re.split(r"\{(\w+)\}", message)
        told = [f"(?P<{part}>.+?)" if k % 2 else re.escape(part) for k, part in enumerate(parts)]
        return re.compile("".join(told), re.S)

    known = (*SENTENCES, *logged.SENTENCES, *REASONS, *AGAINST)
    known = sorted(known, key=lambda m: -len(re.sub(r"\{\w+\}", "", m)))
    return tuple((shape(message), message) for message in known)
