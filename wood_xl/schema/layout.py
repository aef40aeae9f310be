"""Titles and positions in a workbook that belong to no column, shared by writers and readers."""

ITEM_HEADER = "Item"
VALUE_HEADER = "Value"
UNIT_HEADER = "Unit"
HELP_HEADER = "Help"
START_ID = "trial"  # of the first sheet in the definition
PAPER_TITLES = ("Bucking form", "Splitting form")
FORMER_PAPER_TITLES = ("Field tally",)  # of templates of version 1
TRIAL_PLAN_TITLE = "Trial plan"
TRIAL_DAYS_TITLE = "Who does what"
CHOICES_TITLE = "Choices"
CAUTIONS_TITLE = "Cautions"
MARKS_TITLE = "What to fix"  # the first sheet of a marked copy
VERSION_NAME = "wood_xl_template"  # defined name that holds the template's version
HEADER_ROW = 3
HEADER_SEARCH_ROWS = 15  # rows searched for the header, since people insert rows above it
ROW_HEADER = "Row"
SHEET_HEADER = "Sheet"
COLUMN_HEADER = "Column or item"
EMPTY_UNITS_TITLE = "Units of what was left empty"
INPUTS_TITLE = "Inputs"
TRACE_TITLE = "Inputs trace"
SEAL_TITLE = "Seal"
NO_ROWS = "none"
OPEN_STARTS = ("~$", ".~lock.")  # of lock files that programs put beside an open workbook
FORMER_RESULTS = ("Answer", "Inputs", "Provenance")  # sheets of results of version 1
FORMER_ORIGIN = "Provenance"  # sheet of these with the version of their layout
