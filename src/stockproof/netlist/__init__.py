"""Boolean expressions, the flat netlist they are lowered to, and its one scan kernel."""
