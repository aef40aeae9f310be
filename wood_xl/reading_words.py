"""Texts of the reading sheets, as ids (``schema/words.json`` has their words)."""

from __future__ import annotations

from wood_xl.reasons import texts

Month = texts("Month", __name__)  # months, in their order
OnPages = texts("OnPages", __name__)  # texts that several reading sheets share
OnAnswer = texts("OnAnswer", __name__)  # what the sheet Answer says
OnCompare = texts("OnCompare", __name__)  # what the sheet Compare says
OnMoney = texts("OnMoney", __name__)  # what the sheet Money says
OnTornado = texts("OnTornado", __name__)  # what stands beside the pictures of what moves a flip
OnBody = texts("OnBody", __name__)  # what the sheet Body says
OnSessions = texts("OnSessions", __name__)  # what the sheet Sessions says
OnAir = texts("OnAir", __name__)  # what the sheet Air and warmth says
OnShed = texts("OnShed", __name__)  # what is said of the woodshed, on Air and warmth and on Answer
HowWeKnow = texts("HowWeKnow", __name__)  # what the sheet How we know says
Working = texts("Working", __name__)  # steps of the working of a figure
Glossary = texts("Glossary", __name__)  # words that end the sheet How we know, at most 15
OnPlan = texts("OnPlan", __name__)  # what the sheet Plan says
