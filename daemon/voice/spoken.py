"""Numbers and names as pilots read and say them.

form       value            text        speech
height     ft               1,200       one thousand two hundred
altitude   ft               12,500      one two thousand five hundred
rate       ft/min           650         six fifty
heading    deg (also course, bearing)   007   zero zero seven; north is 360
turn       deg              20          two zero
runway     27L, ZZPS/27L    27L         two seven left
place      ZZPS             ZZPS        zulu zulu papa sierra
distance   NM               2.5 miles   two and a half miles; from ten on by digits: one four miles
feet       ft               1,200 feet  one thousand two hundred feet
speed      kt               65 knots    six five knots
strength   kt               15          one five (a wind: "two four zero at one five")
altimeter  hPa              1013        one zero one three
inches     inHg             29.92       two nine nine two
temperature  deg C          -5          minus five; -12: minus one two
count      1                12          twelve
time       s                90 s        one minute three zero seconds; from two minutes on, whole minutes
angle      deg              3.4 deg     three point four degrees
text       anything         as it is

Rounding   half up. height: 10 below 100, 50 below 1,000, then 100. altitude 100. rate 50. distance: tenths below one
           mile, halves below ten, then whole miles.
Source     digits of headings, altitudes, speeds, altimeter: FAA AIM 4-2-8 to 4-2-12; ICAO digit words: Annex 10
           volume II, 5.2.1.4.3.1; spelling alphabet: the same, 5.2.1.3. "six fifty" for a rate, and the rounding:
           common practice, no source.
Teens      numbers with a unit are said by digits from ten on: a recogniser hears fourteen as forty (common practice
           in radio speech too)
"""

import math
import re
from collections.abc import Callable, Mapping
from typing import NamedTuple

from pydantic import BaseModel, ConfigDict, Field

MINUTE_S, HOUR_S = 60, 3600
TENTHS, HALF = 10, 5
NOISE = 1e-9
"""What sines and sums add to or take from a number: 15 x sin 30 is 7.499999999999999."""
SPELLED = re.compile(r"[A-Z][A-Z0-9]{1,3}")
RUNWAY = re.compile(r"(\d{1,2})([A-Z]?)")


class Sentence(NamedTuple):
    """The same thing twice: as read on a screen, as spoken."""

    text: str
    speech: str


class Words(BaseModel):
    """A language's number words; the table [words] of a phrase file. A template's {} is where the number goes."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    digits: tuple[str, ...] = Field(min_length=10, max_length=10)
    digits_icao: tuple[str, ...] = Field(min_length=10, max_length=10)
    cardinals: tuple[str, ...] = Field(min_length=100, max_length=100)
    """0 to 99, so that a language may count as it likes."""
    hundreds: tuple[str, ...] = Field(min_length=9, max_length=9)
    """100, 200, ... 900."""
    thousand: str
    one_thousand: str
    minus: str
    point: str
    half_mile: str
    and_a_half: str
    sides: Mapping[str, str]
    alphabet: Mapping[str, str]
    units: Mapping[str, tuple[str, str]]
    """Spoken for one and for many: mile, knot, degree, foot, second, minute, hour."""

    def digit_words(self, figures: str) -> str:
        """Return figures one by one; a decimal point is left out, as in an altimeter setting."""
        return " ".join(self.digits[int(figure)] for figure in figures if figure.isdigit())

    def cardinal(self, number: int) -> str:
        """Return a whole number as counted, up to 999,999."""
        if number < 0:
            return f"{self.minus} {self.cardinal(-number)}"
        thousands, rest = divmod(number, 1000)
        if not thousands:
            return self._below_thousand(rest)
        leading = self.one_thousand if thousands == 1 else self.thousand.format(self._below_thousand(thousands))
        return f"{leading} {self._below_thousand(rest)}" if rest else leading

    def _below_thousand(self, number: int) -> str:
        hundreds, rest = divmod(number, 100)
        if not hundreds:
            return self.cardinals[rest]
        return f"{self.hundreds[hundreds - 1]} {self.cardinals[rest]}" if rest else self.hundreds[hundreds - 1]

    def plain(self, number: int) -> str:
        """Return a whole number digit by digit."""
        return f"{self.minus} {self.digit_words(str(-number))}" if number < 0 else self.digit_words(str(number))

    def counted(self, *, number: int, unit: str) -> str:
        """Return a whole number, digit by digit, with its unit, one or many."""
        return f"{self.plain(number)} {self.units[unit][number != 1]}"


Value = float | str
Form = Callable[[Words, Value], Sentence]


def rounded(*, value: float, step: float) -> int:
    """Return the nearest multiple of a step, half up (away from zero), noise of the arithmetic left out."""
    return round(math.copysign(math.floor(abs(value) / step + 0.5 + NOISE) * step, value))


def _height_ft(value: Value) -> int:
    height_ft = float(value)
    size_ft = abs(height_ft)
    return rounded(value=height_ft, step=10 if size_ft < 95 else 50 if size_ft < 975 else 100)  # noqa: PLR2004 - the table above


def _height(words: Words, value: Value) -> Sentence:
    height_ft = _height_ft(value)
    return Sentence(f"{height_ft:,}", words.cardinal(height_ft))


def _feet(words: Words, value: Value) -> Sentence:
    height_ft = _height_ft(value)
    one, many = words.units["foot"]
    unit = one if abs(height_ft) == 1 else many
    return Sentence(f"{height_ft:,} {unit}", f"{words.cardinal(height_ft)} {unit}")


def _altitude(words: Words, value: Value) -> Sentence:
    altitude_ft = rounded(value=float(value), step=100)
    thousands, rest = divmod(abs(altitude_ft), 1000)
    if thousands < 10:  # noqa: PLR2004 - from ten thousand on, digits (AIM 4-2-9)
        return Sentence(f"{altitude_ft:,}", words.cardinal(altitude_ft))
    speech = words.thousand.format(words.digit_words(str(thousands)))
    return Sentence(f"{altitude_ft:,}", f"{speech} {words.cardinal(rest)}" if rest else speech)


def _rate(words: Words, value: Value) -> Sentence:
    rate_fpm = rounded(value=abs(float(value)), step=50)
    thousands, rest = divmod(rate_fpm, 1000)
    hundreds, fifty = divmod(rest, 100)
    if not (hundreds and fifty):
        return Sentence(f"{rate_fpm:,}", words.cardinal(rate_fpm))
    below = f"{words.cardinals[hundreds]} {words.cardinals[fifty]}"
    return Sentence(f"{rate_fpm:,}", f"{words.cardinal(thousands * 1000)} {below}" if thousands else below)


def _direction(words: Words, value: Value) -> Sentence:
    degrees = rounded(value=float(value) % 360.0, step=1) or 360
    return Sentence(f"{degrees:03}", words.digit_words(f"{degrees:03}"))


def _turn(words: Words, value: Value) -> Sentence:
    degrees = rounded(value=float(value), step=5 if abs(float(value)) >= 10 else 1)  # noqa: PLR2004 - common practice
    return Sentence(str(degrees), words.plain(degrees))


def _runway(words: Words, value: Value) -> Sentence:
    designator = str(value).rpartition("/")[2]
    match = RUNWAY.fullmatch(designator)
    if match is None:
        return Sentence(designator, designator)
    number, side = f"{int(match[1]):02}", match[2]
    spoken = words.digit_words(number)
    return Sentence(f"{number}{side}", f"{spoken} {words.sides.get(side, side)}" if side else spoken)


def _place(words: Words, value: Value) -> Sentence:
    name = str(value).partition("/")[0]
    if not SPELLED.fullmatch(name):
        return Sentence(name, name.lower())
    spelled = (words.alphabet[sign] if sign in words.alphabet else words.digit_words(sign) for sign in name)
    return Sentence(name, " ".join(spelled))


def _distance(words: Words, value: Value) -> Sentence:
    tenths = rounded(value=float(value) * 10, step=1)
    if abs(tenths) >= TENTHS:
        tenths = rounded(value=float(value) * 10, step=5 if abs(tenths) < 10 * TENTHS else TENTHS)
    whole, part = divmod(abs(tenths), TENTHS)
    one, many = words.units["mile"]
    unit = one if abs(tenths) == TENTHS else many
    speech = _miles(words=words, whole=whole, part=part, unit=unit)
    return Sentence(f"{tenths / TENTHS:g} {unit}", f"{words.minus} {speech}" if tenths < 0 else speech)


def _miles(*, words: Words, whole: int, part: int, unit: str) -> str:
    if not part:
        return f"{words.plain(whole)} {unit}"
    if part != HALF:
        return f"{words.plain(whole)} {words.point} {words.digits[part]} {unit}"
    return f"{words.and_a_half.format(words.plain(whole))} {unit}" if whole else words.half_mile


def _speed(words: Words, value: Value) -> Sentence:
    text, speech = _strength(words, value)
    one, many = words.units["knot"]
    return Sentence(f"{text} {many if text != '1' else one}", f"{speech} {many if text != '1' else one}")


def _strength(words: Words, value: Value) -> Sentence:
    speed_kt = rounded(value=float(value), step=1)
    return Sentence(str(speed_kt), words.plain(speed_kt))


def _altimeter(words: Words, value: Value) -> Sentence:
    figures = str(rounded(value=float(value), step=1))
    return Sentence(figures, words.digit_words(figures))


def _inches(words: Words, value: Value) -> Sentence:
    figures = f"{float(value):.2f}"
    return Sentence(figures, words.digit_words(figures))


def _count(words: Words, value: Value) -> Sentence:
    number = rounded(value=float(value), step=1)
    return Sentence(f"{number:,}", words.cardinal(number))


def _temperature(words: Words, value: Value) -> Sentence:
    temperature_c = rounded(value=float(value), step=1)
    return Sentence(str(temperature_c), words.plain(temperature_c))


def _time(words: Words, value: Value) -> Sentence:
    seconds = rounded(value=float(value), step=1)
    hours, rest = divmod(seconds, HOUR_S)
    minutes, left = divmod(rest, MINUTE_S)
    parts: tuple[tuple[str, int], ...]
    if hours:
        parts = (("hour", hours), ("minute", minutes))
    elif minutes > 1:
        parts = (("minute", rounded(value=seconds / MINUTE_S, step=1)),)
    else:
        parts = (("minute", minutes), ("second", left))
    told = [(unit, number) for unit, number in parts if number] or [("second", 0)]
    text = " ".join(f"{number} {words.units[unit][number != 1]}" for unit, number in told)
    return Sentence(text, " ".join(words.counted(number=number, unit=unit) for unit, number in told))


def _angle(words: Words, value: Value) -> Sentence:
    tenths = rounded(value=float(value) * 10, step=1)
    whole, part = divmod(abs(tenths), 10)
    spoken = words.cardinal(whole) + (f" {words.point} {words.digits[part]}" if part else "")
    unit = words.units["degree"][abs(tenths) != 10]  # noqa: PLR2004 - one degree in tenths
    return Sentence(f"{tenths / 10:g} {unit}", f"{f'{words.minus} ' if tenths < 0 else ''}{spoken} {unit}")


def _text(_words: Words, value: Value) -> Sentence:
    plain = value if isinstance(value, str) else f"{value:g}"
    return Sentence(plain, plain)


FORMS: Mapping[str, Form] = {
    "height": _height,
    "feet": _feet,
    "altitude": _altitude,
    "rate": _rate,
    "heading": _direction,
    "course": _direction,
    "bearing": _direction,
    "turn": _turn,
    "runway": _runway,
    "place": _place,
    "distance": _distance,
    "speed": _speed,
    "strength": _strength,
    "altimeter": _altimeter,
    "inches": _inches,
    "temperature": _temperature,
    "count": _count,
    "time": _time,
    "angle": _angle,
    "text": _text,
}
"""Every form that a phrase may name after a value's colon."""
