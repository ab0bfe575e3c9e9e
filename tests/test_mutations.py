"""Marks are right both ways: no mutated answer gets full marks, and no equivalent one loses any.

Mutations are made by machine from every right answer of every lesson: sign, unit, factor, an hour more or
less, the other hemisphere, arguments swapped or ignored, one more or less in an input, one more in a constant
of the code.  One counts when it differs from the right answer beyond tolerance on a dense grid that the
marker does not use.
"""

import ast
import copy
import functools
import itertools
import math
import types
import warnings
from pathlib import Path

import numpy as np
import pytest

from lessons import _notebooks
from solarlab import egg
from solarlab.exercises import Draw, hand_over, inputs, judge, lesson, variant

SECRET = "the class's own"
WHO = ("amina", "bruno", "chen")
EXERCISES = [e for folder in _notebooks.find_lessons() for e in lesson(folder).values()]
FUNCTIONS = [e for e in EXERCISES if e.kind in ("function", "bug")]
NUMBERS = [e for e in EXERCISES if e.kind == "number"]
OUTPUTS = {
    "sign": lambda y: -y,
    "minutes for seconds": lambda y: y / 60,
    "seconds for minutes": lambda y: y * 60,
    "grams for kilograms": lambda y: y * 1000,
    "kilo forgotten": lambda y: y / 1000,
    "doubled": lambda y: y * 2,
    "halved": lambda y: y / 2,
    "a tenth more": lambda y: y * 1.1,
    "a tenth less": lambda y: y * 0.9,
    "percent": lambda y: y * 100,
    "share for percent": lambda y: y / 100,
    "fahrenheit for celsius": lambda y: y * 1.8 + 32,
    "celsius for fahrenheit": lambda y: (y - 32) / 1.8,
    "kelvin for celsius": lambda y: y + 273.15,
    "an hour late": lambda y: y + 60,
    "an hour early": lambda y: y - 60,
    "degrees for radians": math.degrees,
    "radians for degrees": math.radians,
    "inverted": lambda y: 1 / y if y else y,
    "squared": lambda y: y * y,
    "rooted": lambda y: math.sqrt(abs(y)),
    "the rest of one": lambda y: 1 - y,
    "the rest of a right angle": lambda y: 90 - y,
    "nothing": lambda y: 0.0,
}
INPUTS = {
    "other hemisphere": lambda x: -x,
    "minutes for seconds": lambda x: x / 60,
    "grams for kilograms": lambda x: x * 1000,
    "kelvin for celsius": lambda x: x + 273.15,
    "kelvin taken off": lambda x: x - 273.15,
    "fahrenheit read as celsius": lambda x: (x - 32) / 1.8,
    "celsius read as fahrenheit": lambda x: x * 1.8 + 32,
    "degrees for radians": math.degrees,
    "doubled": lambda x: 2 * x,
    "forgotten": lambda x: 1.0,
    "one more": lambda x: x + 1,
    "one less": lambda x: x - 1,
}
HOURS = {"an hour more": lambda x: x + 1, "an hour less": lambda x: x - 1}  # where the input is in hours
MINUTES = {"an hour more": lambda x: x + 60, "an hour less": lambda x: x - 60}  # where it can be of one day


def changes(place, value):
    """The mutations of one input: hours are shifted where it can be a time."""
    largest = max(map(abs, value)) if isinstance(value, (list, tuple)) else abs(value)
    return {**INPUTS, **(HOURS if place == "hours" else MINUTES if largest <= 1440 else {})}


PARTS = {
    "first left out": slice(1, None),
    "last left out": slice(None, -1),
    "every other": slice(None, None, 2),
    "only the last": slice(-1, None),
}


def quietly(function, arguments):
    """The value, or nan where the mutant cannot be worked out."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            value = float(function(**arguments))
    except (ArithmeticError, ValueError, TypeError, LookupError):
        return math.nan
    return value


def mutants(exercise):
    """(name, function) of each mutation of a function exercise's answer."""
    right = exercise.answer
    sample = exercise.inputs(Draw(exercise.id, "a sample"))
    for name, change in OUTPUTS.items():
        yield name, lambda change=change, **given: change(right(**given))
    if allowed(exercise, right(**sample)) < 1:  # a slip that tolerance nearly always hides is none
        yield "one more", lambda **given: right(**given) + 1
        yield "one less", lambda **given: right(**given) - 1
    yield from plus_ones(right)
    for place, value in sample.items():
        listed = isinstance(value, (list, tuple))
        numbers = all(isinstance(x, (int, float)) for x in (value if listed else [value]))
        for name, change in changes(place, value).items() if numbers else ():

            def mutant(place=place, change=change, listed=listed, **given):
                old = given[place]
                return right(**{**given, place: [change(x) for x in old] if listed else change(old)})

            yield f"{name} in {place}", mutant
        if listed:
            for name, part in PARTS.items():
                yield (
                    f"{name} of {place}",
                    lambda place=place, part=part, **given: right(**{**given, place: given[place][part]}),
                )
    places = [place for place, value in sample.items() if isinstance(value, (int, float))]
    for one, two in itertools.pairwise(places):
        yield (
            f"{one} for {two}",
            lambda one=one, two=two, **given: right(**{**given, one: given[two], two: given[one]}),
        )


def plus_ones(answer):
    """(name, function) of the answer with one constant one larger, its own or that of what it calls."""
    file, parts, waiting = answer.__code__.co_filename, set(), [answer]
    while waiting:
        part = waiting.pop()
        parts.add(part.__name__)
        called = (part.__globals__.get(name) for name in part.__code__.co_names)
        waiting += [each for each in called if isinstance(each, types.FunctionType)
                    and each.__code__.co_filename == file and each.__name__ not in parts]  # fmt: skip
    written = ast.parse(Path(file).read_text("utf-8")).body
    code = ast.Module([node for node in written if getattr(node, "name", "") in parts], [])
    unnamed = answer.__name__ == "<lambda>"
    assert len(code.body) == len(parts) - unnamed > 0, answer
    for number, node in enumerate(ast.walk(code)):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float):
            mutated, scope = copy.deepcopy(code), dict(answer.__globals__)
            next(itertools.islice(ast.walk(mutated), number, None)).value += 1
            exec(compile(mutated, file, "exec"), scope)
            made = types.FunctionType(answer.__code__, scope) if unnamed else scope[answer.__name__]
            yield f"{node.value} + 1 in line {node.lineno}", made


def allowed(exercise, right):
    """How far from the right answer is still right."""
    relative, absolute = exercise.tolerance
    return max(relative * abs(right), absolute)


@functools.cache
def grid(exercise):
    """Two hundred inputs that are not used for marking, and the right answers."""
    tests = [exercise.inputs(Draw(exercise.id, "the grid", number)) for number in range(200)]
    return [(given, float(exercise.answer(**given))) for given in tests]


def differs(exercise, function):
    """Whether a function is wrong beyond tolerance somewhere on the grid."""
    for given, right in grid(exercise):
        said = quietly(function, given)
        if math.isnan(said) or abs(said - right) > allowed(exercise, right):
            return True
    return False


def points(exercise, who, value):
    """What the marker gives: handed over as in the box, judged as outside."""
    return judge(exercise, who, hand_over(exercise, who, value, inputs(exercise, who, SECRET)), SECRET).points


def test_there_are_functions_and_numbers_to_mutate():
    assert len(FUNCTIONS) >= 2 and len(NUMBERS) >= 2


def test_no_mutated_function_gets_full_marks():
    tried, through = 0, []
    for exercise in FUNCTIONS:
        for name, mutant in mutants(exercise):
            if differs(exercise, mutant):
                tried += 1
                safe = functools.partial(quietly_called, mutant)
                through += [
                    (exercise.id, name, who) for who in WHO if points(exercise, who, safe) >= exercise.points
                ]
    assert tried >= 100 and through == [], (tried, through)


def quietly_called(mutant, **given):
    """A mutant as a learner's function: whatever it raises is its own fault."""
    return mutant(**given)


def test_no_mutated_number_gets_full_marks():
    tried, through = 0, []
    for exercise in NUMBERS:
        for who in WHO:
            right = float(exercise.answer(variant(exercise, who)))
            for name, change in OUTPUTS.items():
                said = change(right)
                if abs(said - right) > allowed(exercise, right):
                    tried += 1
                    if points(exercise, who, said) >= exercise.points:
                        through.append((exercise.id, name, who))
    assert tried >= 100 and through == [], (tried, through)


@pytest.mark.parametrize("exercise", [e for e in EXERCISES if e.kind != "explanation"], ids=lambda e: e.id)
def test_the_right_answer_gets_full_marks_and_its_alternatives_do_not(exercise):
    for who in WHO:
        drawn = variant(exercise, who)
        right = exercise.answer if exercise in FUNCTIONS else exercise.answer(drawn)
        assert points(exercise, who, right) == exercise.points
        for alternative in exercise.alternatives:
            wrong = alternative.model if exercise in FUNCTIONS else alternative.model(drawn)
            assert points(exercise, who, wrong) < exercise.points, alternative.note


def talkative(right, **given):
    """Prints and warns on the way."""
    print("working …")
    warnings.warn("careful", UserWarning, stacklevel=1)
    return right(**given)


class Called:
    """An object that is called like a function."""

    def __init__(self, right):
        self.right = right

    def __call__(self, **given):
        return self.right(**given)


FORMS = {  # ten ways to write the same function
    "itself": lambda right: right,
    "a lambda": lambda right: lambda **given: right(**given),
    "a partial": functools.partial,
    "an object": Called,
    "talkative": lambda right: functools.partial(talkative, right),
    "gives a NumPy float": lambda right: lambda **given: np.float64(right(**given)),
    "gives single precision": lambda right: lambda **given: np.float32(right(**given)),
    "gives an array of one number": lambda right: lambda **given: np.array(right(**given)),
    "takes arrays": lambda right: lambda **given: right(**{
        name: np.array(value) if isinstance(value, list) else value for name, value in given.items()
    }),
    "rounds to six digits": lambda right: lambda **given: float(f"{right(**given):.6g}"),
    "remembers": lambda right: lambda cache={}, **given: cache.setdefault(str(given), right(**given)),
    "adds nothing": lambda right: lambda **given: sum([right(**given), 0.0]),
}  # fmt: skip


@pytest.mark.parametrize("exercise", FUNCTIONS, ids=lambda e: e.id)
@pytest.mark.parametrize("form", FORMS)
def test_an_equivalent_function_loses_no_mark(exercise, form):
    assert points(exercise, "amina", FORMS[form](exercise.answer)) == exercise.points


def setting_by_steps(temperatures, step, frequency, activation_energy):
    """What is raw, second by second."""
    raw = 1.0
    for celsius in temperatures:
        raw *= math.exp(-frequency * math.exp(-activation_energy / (8.314462618 * (celsius + 273.15))) * step)
    return 1 - raw


def setting_with_arrays(temperatures, step, frequency, activation_energy):
    """All at once."""
    kelvin = np.asarray(temperatures) + 273.15
    return 1 - np.exp(-step * (frequency * np.exp(-activation_energy / 8.314462618 / kelvin)).sum())


def setting_from_the_end(temperatures, step, frequency, activation_energy):
    """By recursion."""
    if not temperatures:
        return 0.0
    before = setting_from_the_end(temperatures[:-1], step, frequency, activation_energy)
    speed = frequency * math.exp(-activation_energy / (8.314462618 * (temperatures[-1] + 273.15)))
    return before + (1 - before) * (1 - math.exp(-speed * step))


@pytest.mark.parametrize("written", [setting_by_steps, setting_with_arrays, setting_from_the_end])
def test_the_setting_function_written_otherwise_loses_no_mark(written):
    exercise = next(e for e in FUNCTIONS if e.id == "dry-egg/set")
    assert points(exercise, "amina", written) == exercise.points


@pytest.mark.parametrize("written", [
    lambda mass, diffusivity: egg.equivalent_radius(mass) ** 2 / math.pi**2 / diffusivity,
    lambda mass, diffusivity: (float(egg.equivalent_radius(mass)) / math.pi) ** 2 * (1 / diffusivity),
    lambda diffusivity, mass: np.square(egg.equivalent_radius(mass)) / (np.pi * np.pi * diffusivity),
])  # fmt: skip
def test_the_mended_lag_written_otherwise_loses_no_mark(written):
    exercise = next(e for e in FUNCTIONS if e.id == "dry-egg/lag")
    assert points(exercise, "amina", written) == exercise.points
