"""Which quantities a limit may be set for, with their units and the way a level is written.

The keys and units are those of the contract page; a test holds them against the glossary of the readings.
"""

from __future__ import annotations

from types import MappingProxyType

QUANTITY_UNITS = MappingProxyType(
    {
        "speed_deviation": "%",
        "speed_drift": "%/min",
        "rotation_rate": "rpm",
        "wow_flutter_weighted": "%",
        "wow_flutter_weighted_quasi_peak": "%",
        "wow_flutter_weighted_rms": "%",
        "wow_flutter_unweighted": "%",
        "wow": "%",
        "flutter": "%",
        "once_per_revolution": "%",
        "once_per_revolution_disc": "%",
        "once_per_revolution_pin": "%",
        "once_per_revolution_drive": "%",
        "disc_eccentricity": "mm",
        "channel_balance": "dB",
        "crosstalk_left_to_right": "dB",
        "crosstalk_right_to_left": "dB",
        "azimuth_error": "°",
        "symmetric_crosstalk": "dB",
        "level_reference": "dBFS",
        "hum": "dB",
        "mains_frequency": "Hz",
        "rumble_unweighted": "dB",
        "rumble_weighted": "dB",
        "surface_noise": "dB",
        "clicks_per_minute": "1/min",
        "total_harmonic_distortion": "%",
        "second_harmonic": "%",
        "third_harmonic": "%",
        "intermodulation": "%",
        "response_deviation": "dB",
        "load_resonance": "Hz",
        "arm_resonance_lateral": "Hz",
        "arm_resonance_vertical": "Hz",
        "tracking_limit_left": "dB",
        "tracking_limit_right": "dB",
        "start_time": "s",
        "coast_down_time": "s",
        "tracking_force": "mN",
        "pivot_to_spindle": "mm",
        "effective_length": "mm",
        "overhang": "mm",
        "arm_height": "mm",
        "coil_resistance": "Ω",
        "arm_to_lead_resistance": "Ω",
        "protective_earth_resistance": "Ω",
        "insulation_resistance": "MΩ",
        "belt_length": "mm",
        "speed_by_counted_turns": "rpm",
    }
)

LEVELS_BELOW_REFERENCE = frozenset(
    {
        "crosstalk_left_to_right",
        "crosstalk_right_to_left",
        "symmetric_crosstalk",
        "hum",
        "rumble_unweighted",
        "rumble_weighted",
        "surface_noise",
    }
)
"""Read as negative dB; a limit written "≥ 35 dB" means at least 35 dB below the reference."""
