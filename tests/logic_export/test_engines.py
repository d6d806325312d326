"""One suite of behaviours for every engine that runs a control program."""

from __future__ import annotations

from stockproof.logic.assembly import Assembly
from stockproof.netlist import Netlist

from .behaviours import Behaviours
from .engines import Outputs, Trace, run_checker, run_exported, run_kernel, run_plain


class TestCompiledScan(Behaviours):
    def run(self, netlist: Netlist, trace: Trace, assembly: Assembly | None = None) -> Outputs:
        return run_kernel(netlist, trace)


class TestCompiledScanInItsLastLane(Behaviours):
    def run(self, netlist: Netlist, trace: Trace, assembly: Assembly | None = None) -> Outputs:
        return run_kernel(netlist, trace, lane=63)


class TestExhaustiveSearch(Behaviours):
    def run(self, netlist: Netlist, trace: Trace, assembly: Assembly | None = None) -> Outputs:
        return run_checker(netlist, trace)


class TestPlainEvaluator(Behaviours):
    def run(self, netlist: Netlist, trace: Trace, assembly: Assembly | None = None) -> Outputs:
        return run_plain(netlist, trace)


class TestExportedRules(Behaviours):
    def run(self, netlist: Netlist, trace: Trace, assembly: Assembly | None = None) -> Outputs:
        return run_exported(netlist, trace, assembly)


class TestExportedOperations(Behaviours):
    def run(self, netlist: Netlist, trace: Trace, assembly: Assembly | None = None) -> Outputs:
        return run_exported(netlist, trace)
