"""Boolean expressions, the flat netlist they are lowered to, and its one scan kernel."""

from stockproof.netlist.model import Input, InputKind, Lamp, Memory, Motion, Netlist, Op, Timer

__all__ = ["Input", "InputKind", "Lamp", "Memory", "Motion", "Netlist", "Op", "Timer"]
