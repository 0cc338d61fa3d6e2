"""Set-up calculations and what they advise: pure, plain values in, plain values out."""
