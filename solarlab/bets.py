"""A bet: what a learner is asked to predict before a run unlocks, said once, asked by `controls`, kept by
`record`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from . import controls, record

__all__ = ["Bet"]


@dataclass(frozen=True)
class Bet:
    """Called with learner, prediction and sureness (``...`` if not typed yet) it gives the form to bet in.

    ``key``: ``"lesson/bet"``, unique in the course; ``title``: what the record calls it.  The prediction is a
    number in ``unit`` that holds when the outcome is ``within`` so much of it, or one of ``choices``.
    """

    key: str
    question: str
    title: str
    unit: str = ""
    within: float = 0.0
    choices: Iterable[str] = ()

    def __call__(self, learner: str, value: object = ..., sure: object = ...) -> controls.Guess:
        choices = tuple(self.choices)

        def write(value: object, sure: object) -> record.Prediction | record.Waiting:
            rule = {"unit": self.unit, "within": self.within, "choices": choices, "title": self.title}
            return record.predict(self.key, learner, value, sure, **rule)

        return controls.predict(
            self.question, write, sureness=record.SURENESS, unit=self.unit, choices=choices, value=value,
            sure=sure,
        )  # fmt: skip
