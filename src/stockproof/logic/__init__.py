"""The control logic: assembled from the build, lowered to one netlist, checked."""
