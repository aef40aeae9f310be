"""A season put together: sessions, lots, methods and people as figures. Pure, like the formulas it calls."""
