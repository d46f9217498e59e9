"""Everything that one check produces: summary, record, marked-up pictures."""
