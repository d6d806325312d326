"""The browser application: the whole job in front of the customer, on this machine alone unless told otherwise."""
