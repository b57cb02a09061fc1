"""What the trade rules refuse.

TradeError
└── OutOfRange     a value outside what the rule or formula covers
"""


class TradeError(Exception):
    """Anything a rule of the trade refuses to answer."""


class OutOfRange(TradeError, ValueError):
    """A value outside the range a rule covers; it is never clamped in silence.

    >>> str(OutOfRange("water temperature", got=104.0, low=0.0, high=100.0, unit="degC",
    ...                rule="open vessel"))
    'Water temperature 104 degC is outside 0 to 100 degC (open vessel).'
    """

    def __init__(
        self, quantity: str, *, got: float, low: float, high: float, unit: str, rule: str
    ) -> None:
        self.quantity = quantity
        self.got = got
        self.low = low
        self.high = high
        self.unit = unit
        self.rule = rule
        name = quantity[:1].upper() + quantity[1:]
        super().__init__(f"{name} {got:g} {unit} is outside {low:g} to {high:g} {unit} ({rule}).")


def within(quantity: str, got: float, *, low: float, high: float, unit: str, rule: str) -> float:
    """Return ``got`` if low <= got <= high, else raise :class:`OutOfRange` (NaN is refused too)."""
    if not low <= got <= high:
        raise OutOfRange(quantity, got=got, low=low, high=high, unit=unit, rule=rule)
    return got
