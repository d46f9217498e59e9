"""The characters that the reader tells apart."""

CAPITALS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
SMALL = "abcdefghijklmnopqrstuvwxyz"
DIGITS = "0123456789"
SIGNS = "+-/.,:_()#&%=<>*~µΩ°!?'\"$@[]|"

CLASSES: tuple[str, ...] = (*CAPITALS, *SMALL, *DIGITS, *SIGNS, "")
"""In the order of the network's outputs; the last is no character at all: a drawing, a fragment, two letters."""

REJECT = len(CLASSES) - 1
NUMBER = {character: number for number, character in enumerate(CLASSES)}
