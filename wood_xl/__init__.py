"""Turn a season of firewood field notes into figures that can be checked."""

__version__ = "0.2.0"
