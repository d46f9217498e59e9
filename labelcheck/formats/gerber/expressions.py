"""Arithmetic of aperture macros: `$1-2x$2`, compiled once, worked out for each aperture (clause 4.5)."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

_TOKEN = re.compile(r"\s*(?:(\$\d{1,9})|(\d{1,18}(?:\.\d{0,18})?|\.\d{1,18})|([-+xX/()]))")
_STRENGTH = {"+": 1, "-": 1, "x": 2, "/": 2, "minus": 3, "plus": 3}


class WrongExpression(Exception):
    """An expression that means nothing; its text says why."""


@dataclass(frozen=True, slots=True)
class Variable:
    """`$n`; a variable never given a value is 0."""

    number: int


Expression = float | Variable | tuple[float | Variable | str, ...]
"""A number, a variable, or postfix of both with the operators `+ - x / minus`."""


def compile_expression(text: str) -> Expression:
    """Turn an expression into postfix form without recursion; raises `WrongExpression`."""
    output: list[float | Variable | str] = []
    waiting: list[str] = []
    at, after_value = 0, False
    text = text.rstrip()
    while at < len(text):
        found = _TOKEN.match(text, at)
        if found is None:
            raise WrongExpression(f"'{text[at:at + 12]}' is no arithmetic")
        at = found.end()
        variable, number, sign = found.groups()
        if variable is not None or number is not None:
            if after_value:
                raise WrongExpression("two values stand side by side")
            output.append(Variable(int(variable[1:])) if variable is not None else float(number))
            after_value = True
        else:
            after_value = _place_sign(sign.lower(), after_value, output, waiting)
    if not after_value:
        raise WrongExpression("a value is missing")
    while waiting:
        sign = waiting.pop()
        if sign == "(":
            raise WrongExpression("a bracket is not closed")
        output.append(sign)
    only = output[0]
    return only if len(output) == 1 and not isinstance(only, str) else tuple(output)


def _place_sign(sign: str, after_value: bool, output: list[float | Variable | str], waiting: list[str]) -> bool:
    """Put an operator or bracket where it belongs; returns whether a value has just been completed."""
    if sign == "(":
        if after_value:
            raise WrongExpression("an operator is missing before a bracket")
        waiting.append(sign)
        return False
    if sign == ")":
        if not after_value:
            raise WrongExpression("a value is missing before a bracket")
        while waiting and waiting[-1] != "(":
            output.append(waiting.pop())
        if not waiting:
            raise WrongExpression("a bracket is closed that was not opened")
        waiting.pop()
        return True
    if not after_value:
        if sign not in "+-":
            raise WrongExpression("a value is missing before an operator")
        waiting.append("minus" if sign == "-" else "plus")
        return False
    while waiting and waiting[-1] != "(" and _STRENGTH[waiting[-1]] >= _STRENGTH[sign]:
        output.append(waiting.pop())
    waiting.append(sign)
    return False


def work_out(expression: Expression, variables: Mapping[int, float]) -> float:
    """Value of a compiled expression; raises `WrongExpression` where it divides by zero or grows past all bounds."""
    if isinstance(expression, float):
        return expression
    if isinstance(expression, Variable):
        return variables.get(expression.number, 0.0)
    values: list[float] = []
    for step in expression:
        if isinstance(step, float):
            values.append(step)
        elif isinstance(step, Variable):
            values.append(variables.get(step.number, 0.0))
        elif step == "minus":
            values.append(-values.pop())
        elif step != "plus":
            right, left = values.pop(), values.pop()
            values.append(_apply(step, left, right))
    value = values.pop()
    if not abs(value) < 1e15:
        raise WrongExpression("a value is out of all bounds")
    return value


def _apply(sign: str, left: float, right: float) -> float:
    if sign == "+":
        return left + right
    if sign == "-":
        return left - right
    if sign == "x":
        return left * right
    if right == 0:
        raise WrongExpression("it divides by zero")
    return left / right
