"""Next season: mix, calendar, trial days, shopping."""
