"""Rules that find what is wrong or odd in a filled workbook; words in ``catalogue.json``."""
