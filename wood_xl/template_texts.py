"""What stands in the template and on its paper forms beside what the definition says (``schema/words.json``)."""

from __future__ import annotations

from wood_xl.reasons import texts

InTemplate = texts("InTemplate", __name__)  # texts of the template beside what is typed into it
OnPaper = texts("OnPaper", __name__)  # texts of the paper forms beside the titles of columns
OtherSheet = texts("OtherSheet", __name__)  # what the sheets are for that a first trial does not need, by their ids
Step = texts("Step", __name__)  # steps of filling the template in, in their order
