"""Conversion factors between the units that simulators send and the units of the house.

Feet, knots, nautical miles, feet per minute, degrees, degrees Celsius, hectopascals inside; everything is
converted once, at the adapter. Source: the international foot (0.3048 m) and nautical mile (1852 m), both exact
by definition (NIST SP 811, appendix B).
"""

M_PER_FT = 0.3048
FT_PER_M = 1.0 / M_PER_FT
M_PER_NM = 1852.0
FT_PER_NM = M_PER_NM / M_PER_FT
MPS_PER_KT = M_PER_NM / 3600.0
KT_PER_MPS = 1.0 / MPS_PER_KT
FPM_PER_KT = FT_PER_NM / 60.0
HPA_PER_INHG = 33.8638866667
KELVIN_AT_0_C = 273.15
