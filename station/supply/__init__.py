"""The air supply: pure rules on pressure, flow, banks and demand, with figures from a checked file."""
