"""The true-size sheet: both sides of the board on paper at exactly 1:1, to lay the real parts on."""
