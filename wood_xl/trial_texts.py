"""Texts of a first trial as ids (``schema/words.json`` has their words)."""

from __future__ import annotations

from wood_xl.reasons import texts

OnTrialPlan = texts("OnTrialPlan", __name__)  # what the sheet with the plan of a trial says
OnTrialForm = texts("OnTrialForm", __name__)  # what a paper form of a trial says beside an empty one
LeftOutOfTrial = texts("LeftOutOfTrial", __name__)  # why somebody does not try a method, beside the rules of who may
ToFill = texts("ToFill", __name__)  # what a trial needs to be filled in first
