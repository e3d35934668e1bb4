"""Identify: works out the layout of an unknown stream, from the datagrams of a minute or two of flying.

columns.py, rows.py, bytes.py   datagrams into columns of numbers, whatever their shape
fragments.py                    which readings of the same bytes are numbers, and which only parts of one
marks.py                        which bytes mark a binary message, and are no number's
timebase.py                     which column is a clock, and how fast it runs
signals.py                      slopes, unwrapped angles, fits
position.py air.py              which columns are what, by physics
airspeed.py ground.py           which airspeed, and the groundspeed, and with what each may be confused
vertical.py height.py scale.py  altitude and vertical speed; feet or metres
climb_angle.py lone.py          altitudes beside a climb angle, or without a vertical speed
lacking.py                      what was not flown
verdict.py report.py            what is sure, what is likely, what is open; the layout file
"""

from otherseat.adapters.identify.study import Helped, identify
from otherseat.adapters.identify.verdict import Certainty, Claim, Verdict

__all__ = ["Certainty", "Claim", "Helped", "Verdict", "identify"]
