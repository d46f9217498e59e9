"""Reading characters and words: what the finder of labels asks, and the built-in reader that answers."""
