"""Expressions of a derivation as functions of a solution, with SPARQL's errors: an error is neither true nor false."""

from collections.abc import Callable
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Any, TypeAlias

from faultpath.base.triples import Term, TextLiteral, is_literal
from faultpath.derivation.algebra import Bind, Call, Exists, Expression, Filter, Group, OptionalGroup, Unsupported, Values
from faultpath.derivation.patterns import Pattern, Variable

Solution: TypeAlias = list[Any]
Value: TypeAlias = Callable[[Solution, Any], Term]


class ExpressionError(Exception):
    """An unbound variable, or operands that do not fit the operator."""


def compile_expression(expression: Expression, slots: dict[str, int], exists: Callable[[Exists], Value]) -> Value:
    """An expression as a function of a solution and the graph joined; raises ExpressionError when it is called."""
    if isinstance(expression, Exists):
        return exists(expression)
    if isinstance(expression, Variable):
        place = slots[expression.name]

        def read(solution: Solution, _: Any) -> Term:
            value: Term | None = solution[place]
            if value is None:
                raise ExpressionError
            return value

        return read
    if not isinstance(expression, Call):
        return lambda _solution, _index: expression
    if expression.name == "BOUND":
        return _bound(expression, slots)
    operands = [compile_expression(operand, slots, exists) for operand in expression.operands]
    if expression.name in _SPECIAL:
        return _SPECIAL[expression.name](operands)
    apply = _PLAIN[expression.name]
    if len(operands) == 1:
        only = operands[0]
        return lambda solution, index: apply(only(solution, index))
    left, right = operands
    return lambda solution, index: apply(left(solution, index), right(solution, index))


def truth(value: Term) -> bool:
    """The effective boolean value."""
    if isinstance(value, bool):
        return value
    if is_literal(value):
        return bool(value)
    raise ExpressionError


def _bound(expression: Call, slots: dict[str, int]) -> Value:
    variable = expression.operands[0]
    if not isinstance(variable, Variable):
        raise Unsupported("BOUND asks about a variable")
    place = slots[variable.name]
    return lambda solution, _: solution[place] is not None


def _choice(operands: list[Value]) -> Value:
    condition, yes, no = operands
    return lambda solution, index: yes(solution, index) if truth(condition(solution, index)) else no(solution, index)


def _decided_by(decisive: bool) -> Callable[[list[Value]], Value]:
    """`&&` and `||`: one operand of the decisive value decides, whatever the other one is."""

    def connective(operands: list[Value]) -> Value:
        def decide(solution: Solution, index: Any) -> bool:
            failed = False
            for operand in operands:
                try:
                    if truth(operand(solution, index)) is decisive:
                        return decisive
                except ExpressionError:
                    failed = True
            if failed:
                raise ExpressionError
            return not decisive

        return decide

    return connective


def _member(operands: list[Value]) -> Value:
    first, others = operands[0], operands[1:]

    def member(solution: Solution, index: Any) -> bool:
        value, failed = first(solution, index), False
        for other in others:
            try:
                if _equal(value, other(solution, index)):
                    return True
            except ExpressionError:
                failed = True
        if failed:
            raise ExpressionError
        return False

    return member


def _equal(left: Term, right: Term) -> bool:
    """As the SPARQL engine has it: literals of different kinds are not equal, and that is no error."""
    return _kind(left) is _kind(right) and left == right


def _kind(value: Term) -> type:
    """What a term can be compared with; an IRI is of another kind than a text."""
    if isinstance(value, str):
        return TextLiteral if isinstance(value, TextLiteral) else str
    return bool if isinstance(value, bool) else Decimal


def _order(left: Term, right: Term) -> int:
    if not (is_literal(left) and is_literal(right)) or _kind(left) is not _kind(right):
        raise ExpressionError
    return (left > right) - (left < right)  # type: ignore[operator]


def _number(value: Term) -> int | Decimal:
    if isinstance(value, bool | str):
        raise ExpressionError
    return value


def _quotient(left: Term, right: Term) -> Decimal:
    if not _number(right):
        raise ExpressionError
    return Decimal(_number(left)) / Decimal(_number(right))


def _rounded(value: Term, way: str) -> int | Decimal:
    number = _number(value)
    return number if isinstance(number, int) else number.to_integral_value(way)


_SPECIAL: dict[str, Callable[[list[Value]], Value]] = {"IF": _choice, "&&": _decided_by(decisive=False), "||": _decided_by(decisive=True), "IN": _member}
_PLAIN: dict[str, Callable[..., Term]] = {
    "!": lambda value: not truth(value),
    "=": _equal,
    "!=": lambda left, right: not _equal(left, right),
    "<": lambda left, right: _order(left, right) < 0,
    "<=": lambda left, right: _order(left, right) <= 0,
    ">": lambda left, right: _order(left, right) > 0,
    ">=": lambda left, right: _order(left, right) >= 0,
    "+": lambda left, right: _number(left) + _number(right),
    "-": lambda left, right: _number(left) - _number(right),
    "*": lambda left, right: _number(left) * _number(right),
    "/": _quotient,
    "CEIL": lambda value: _rounded(value, ROUND_CEILING),
    "FLOOR": lambda value: _rounded(value, ROUND_FLOOR),
    "INTEGER": lambda value: int(_number(value)),
    "STR": lambda value: TextLiteral(value) if isinstance(value, str) else TextLiteral(str(value).lower() if isinstance(value, bool) else value),
}


# Which variables are named


def variables(group: Group) -> list[str]:
    """The variables that a group can bind, in order."""
    found: list[str] = []
    for element in group:
        if isinstance(element, tuple):
            found.extend(slot.name for slot in element if isinstance(slot, Variable))
        elif isinstance(element, Bind):
            found.append(element.name)
        elif isinstance(element, Values):
            found.extend(element.names)
        elif isinstance(element, OptionalGroup):
            found.extend(variables(element.group))
    return found


def every_variable(group: Group) -> list[str]:
    """The variables that a group names anywhere."""
    return [*variables(group), *hidden_variables(group)]


def hidden_variables(group: Group) -> list[str]:
    """The variables that only its expressions name."""
    found: list[str] = []
    for element in group:
        if isinstance(element, Filter | Bind):
            found.extend(variables_of(element.expression))
        elif isinstance(element, OptionalGroup):
            found.extend(hidden_variables(element.group))
    return found


def variables_of_exists(expression: Expression) -> set[str]:
    """The variables that the EXISTS in an expression name."""
    if isinstance(expression, Call):
        return set().union(*(variables_of_exists(operand) for operand in expression.operands))
    return variables_of(expression) if isinstance(expression, Exists) else set()


def variables_of(expression: Expression) -> set[str]:
    """The variables that an expression names, those of its EXISTS included."""
    if isinstance(expression, Variable):
        return {expression.name}
    if isinstance(expression, Exists):
        return set(every_variable(expression.group))
    if isinstance(expression, Call):
        return set().union(*(variables_of(operand) for operand in expression.operands))
    return set()


def every_pattern(group: Group) -> list[Pattern]:
    """The patterns that a group names anywhere, in its expressions too."""
    found: list[Pattern] = []
    for element in group:
        if isinstance(element, tuple):
            found.append(element)
        elif isinstance(element, OptionalGroup):
            found.extend(every_pattern(element.group))
        elif isinstance(element, Filter | Bind):
            found.extend(_patterns_of(element.expression))
    return found


def _patterns_of(expression: Expression) -> list[Pattern]:
    if isinstance(expression, Exists):
        return every_pattern(expression.group)
    return [p for operand in expression.operands for p in _patterns_of(operand)] if isinstance(expression, Call) else []
