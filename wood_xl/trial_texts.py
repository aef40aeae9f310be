"""Texts of a first trial as ids (``schema/words.json`` has their words)."""

from __future__ import annotations

from enum import auto

from wood_xl.reasons import Word
from wood_xl.schema.words import texts

OnTrialPlan = texts("OnTrialPlan", __name__)  # what the sheet with the plan of a trial says
OnTrialForm = texts("OnTrialForm", __name__)  # what a paper form of a trial says beside an empty one


class LeftOutOfTrial(Word):
    """Why somebody does not try a method, beside the rules of who may."""

    ONE_ALONE = auto()
    TOO_FEW = auto()


class ToFill(Word):
    """What a trial needs to be filled in first."""

    METHODS = auto()
    PEOPLE = auto()
    FIRST_DAY = auto()
    DAYS = auto()
