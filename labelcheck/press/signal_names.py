"""What pins and nets are called: spellings of one name agree, and names that contradict are told apart.

Files write `/UART/TXD`, `~{RESET}` and `+3.3V` where a legend says `TX`, `RST` and `3V3`. A mere difference in naming
is no contradiction: only names that both mean something definite, and not the same, contradict each other. Spellings
are common practice, no source.
"""

import re

_ALIASES = {
    "0V": "GND", "VSS": "GND", "GROUND": "GND", "GNDD": "GND", "DGND": "GND", "PGND": "GND",
    "TXD": "TX", "TXO": "TX", "RXD": "RX", "RXI": "RX", "RESET": "RST", "NRST": "RST", "NRESET": "RST", "MRST": "RST",
    "SCLK": "SCK", "CLK": "CLK", "CLOCK": "CLK", "DAT": "DATA", "SS": "CS", "NCS": "CS", "CE": "CS", "VPLUS": "V+",
    "PLUS": "+", "MINUS": "-", "POS": "+", "NEG": "-", "DP": "D+", "DM": "D-", "DN": "D-", "ENABLE": "EN",
    "COPI": "MOSI", "CIPO": "MISO", "IRQ": "INT", "EARTH": "PE",
}  # fmt: skip
_VOLTS = re.compile(r"^([+-]?)(\d{1,3})(?:V(\d{1,2})|\.(\d{1,2})V|V)$")
_DRESSING = re.compile(r"[~{}!*\s\"']")
_NO_NAME = re.compile(r"^(N/C|NET-?\(.*|UNCONNECTED.*|\$?\d*N?\$?\d+|PIN_?\d+|\d+|P\d+|)$", re.IGNORECASE)
_SUPPLIES = frozenset(
    ("VCC", "VDD", "VIN", "VOUT", "VBUS", "VBAT", "VREF", "VEE", "VM", "VP", "V+", "V-", "PWR", "POWER", "+", "-")
)
GROUND = "GND"


def plain(name: str) -> str:
    """A name in the one spelling that all spellings of it share; empty where it means nothing."""
    whole = _DRESSING.sub("", name.upper())
    bare = whole.rsplit("/", 1)[-1]
    if _NO_NAME.match(whole) or _NO_NAME.match(bare):
        return ""
    volts = _VOLTS.match(bare)
    if volts is not None:
        sign, whole, after, fraction = volts.groups()
        part = (after or fraction or "").rstrip("0")
        value = f"{'-' if sign == '-' else ''}{int(whole)}V{part}"
        return GROUND if value in ("0V", "-0V") else value
    return _ALIASES.get(bare, bare)


def spellings(name: str) -> frozenset[str]:
    """What a net or a function may be called on a legend: its own name, and the last words of a longer one."""
    whole = plain(name)
    if not whole:
        return frozenset()
    words = [word for word in re.split(r"[_.\-(]+", whole) if word]
    last = plain(words[-1]) if len(words) > 1 and not words[-1].isdigit() else ""
    return frozenset(one for one in (whole, last) if one)


def words_of(text: str) -> frozenset[str]:
    """What a label says: its text as one name, and each of its words that is a name of its own."""
    words = [plain(word) for word in re.split(r"[\s,;:=|]+| - ", text)]
    return frozenset(word for word in (plain(text), *words) if word)


def contradicts(said: str, name: str) -> bool:
    """Whether a plain name surely means another signal than this one of a pin does.

    Two voltages that differ do, and ground against a supply; else a supply's name does not contradict a voltage.
    """
    if {_sign(said), _sign(name)} == {"+", "-"}:
        return True
    if said == name or said in name or name in said:
        return False
    return not (_is_supply(said) and _is_supply(name)) or (_is_voltage(said) and _is_voltage(name))


def sign_of(name: str) -> str:
    """The bare sign that stands for a plain name at a terminal: `-` for ground, `+` for a supply; else nothing."""
    if name == GROUND:
        return "-"
    return _sign(name) if _is_supply(name) else ""


def _sign(name: str) -> str:
    """`-` of `-`, `-12V`, `V-`; `+` of `+`, `V+` and of voltages and supplies; else nothing."""
    if name.startswith("-") or name in ("V-", "VEE"):
        return "-"
    return "+" if name in ("+", "V+") or _is_voltage(name) else ""


def _is_voltage(name: str) -> bool:
    return re.fullmatch(r"-?\d+V\d*", name) is not None


def _is_supply(name: str) -> bool:
    return name in _SUPPLIES or _is_voltage(name) or name.startswith(("VCC", "VDD"))
