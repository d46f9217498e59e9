"""The marked-up picture of a side: the board as it will look, call-outs, enlarged labels, a key."""
