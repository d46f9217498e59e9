"""Words and quantities of the trade: units, sides, limits, places, errors, drawn shapes."""
