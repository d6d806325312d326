"""Places of the numbers the compiled solver reads and writes: one name per column, SI units."""

from __future__ import annotations

# One powered part: its cylinders together, everything referred to the rods.
CAP_AREA = 0  #: m2, all cylinders of the part
ROD_AREA = 1  #: m2, annulus, all cylinders of the part
MASS = 2  #: kg
VISCOUS = 3  #: N s/m
FRICTION = 4  #: N, dry
LOAD = 5  #: N, steady, against going out
STROKE = 6  #: m
SETTING = 7  #: Pa, reducing valve or relief of this part
BAND = 8  #: Pa, from just flowing to fully open, of a reducing valve
REDUCES = 9  #: 1 reducing-relieving valve, 0 relief valve
LOCKED = 10  #: 1 where pilot-operated checks hold oil at the cylinder
PORT_RELIEF = 11  #: Pa, relief between lock and cylinder; infinite without one
REDUCER = 12  #: m3/s/Pa^0.5 of the reducing valve, fully open
VALVE = 13  #: m3/s/Pa^0.5 of one path of the directional valve
VALVE_VISCOUS = 14  #: Pa s/m3
HOSE_LENGTH = 15  #: m, each of the two hoses
HOSE_BORE = 16  #: m
OUT_THROTTLE = 17  #: m3/s/Pa^0.5 of the throttle that acts while the rod goes out
OUT_THROTTLE_VISCOUS = 18  #: Pa s/m3
IN_THROTTLE = 19  #: m3/s/Pa^0.5 of the throttle that acts while the rod goes in
IN_THROTTLE_VISCOUS = 20  #: Pa s/m3
CUSHION = 21  #: m before each end
CUSHION_DROP = 22  #: Pa at 0.1 m/s of a closed cushion
CONTACT_AT = 23  #: m of rod travel where the part touches something
CONTACT_STIFFNESS = 24  #: N/m at the rod
CONTACT_WAY = 25  #: +1 touched going out, -1 going in, 0 nothing to touch
METERS_IN = 26  #: 1 where the throttle is on the oil going in (before a part's relief), 0 on the oil leaving
PART_COLUMNS = 27

# Store, pump and oil of one circuit in one condition.
SHELL = 0  #: m3
GAS_MASS = 1  #: kg, 0 without an accumulator
GAS_TAU = 2  #: s
WALL = 3  #: K
STUB = 4  #: m3/s/Pa^0.5 between accumulator and the pack's manifold
STUB_VISCOUS = 5  #: Pa s/m3
PUMP_FLOW = 6  #: m3/s
RELIEF_CRACK = 7  #: Pa
RELIEF_OVERRIDE = 8  #: Pa s/m3
CUT_IN = 9  #: Pa
CUT_OUT = 10  #: Pa
DENSITY = 11  #: kg/m3
VISCOSITY = 12  #: Pa s
LEAK = 13  #: m3/s out of the store
RETURN = 14  #: m3/s/Pa^0.5 of return filter and line
RETURN_VISCOUS = 15  #: Pa s/m3
TRUNK_LENGTH = 16  #: m, pressure and return hose from the pack to the valve block, each
TRUNK_BORE = 17  #: m
STORE_COLUMNS = 18

# What the solver steps.
CLOCK = 0  #: s
GAS_VOLUME = 1  #: m3
GAS_TEMPERATURE = 2  #: K
LOADING = 3  #: 1 while the pump delivers
POWERED = 4  #: 1 while the pump has power
MANIFOLD = 5  #: Pa
PUMPED = 6  #: m3 so far
DRAWN = 7  #: m3 taken by parts so far
RELIEVED = 8  #: m3 over the main relief so far
LEAKED = 9  #: m3 so far
LOADED_TIME = 10  #: s so far
LOADINGS = 11  #: times the pump was loaded so far
PUMP_ENERGY = 12  #: J given by the pump to the manifold so far
PART_ENERGY = 13  #: J given to rods so far
LOWEST_STORED = 14  #: m3
LOWEST_PRESSURE = 15  #: Pa, gas, while the store holds oil
PEAK_FLOW = 16  #: m3/s, greatest draw of all parts together
SURPLUS_SLOPE = 17  #: m3/s/Pa, of the manifold's balance when last searched
STATE_PLACES = 18

# A row that is kept of a run; rod positions follow.
AT = 0  #: s
GAS = 1  #: Pa
AT_MANIFOLD = 2  #: Pa
STORED = 3  #: m3
ENERGY = 4  #: J given by the pump to the manifold so far
DELIVERED_TIME = 5  #: s the pump was loaded so far
RECORD_PLACES = 6
