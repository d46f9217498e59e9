"""Files become a fab set, a fab set becomes layers, layers become a board."""
