"""The limits file, `labelcheck.toml`: read with the line of every key, and written."""
