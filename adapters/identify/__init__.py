"""Identify: works out the layout of an unknown stream, from the datagrams of a minute or two of flying.

columns.py, rows.py, bytes.py   datagrams into columns of numbers, whatever their shape
timebase.py                     which column is a clock, and how fast it runs
signals.py                      slopes, unwrapped angles, fits
position.py air.py vertical.py  which columns are what, by physics
verdict.py report.py            what is sure, what is likely, what can't be told; the layout file
"""

from otherseat.adapters.identify.study import identify
from otherseat.adapters.identify.verdict import Certainty, Claim, Verdict

__all__ = ["Certainty", "Claim", "Verdict", "identify"]
