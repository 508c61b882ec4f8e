"""The handbook's drawings, from geometry: each name in docs/drawings and the function that draws it."""

from __future__ import annotations

from collections.abc import Callable

from . import calipers, measuring, nuts, setups, wheel_ends
from .pen import Drawing

ALL: dict[str, Callable[[], Drawing]] = {
    "rotor-slip-on": wheel_ends.rotor_slip_on,
    "rotor-hub": wheel_ends.rotor_hub,
    "rotor-captured": wheel_ends.rotor_captured,
    "caliper-sliding-one-piston": calipers.sliding_one_piston,
    "caliper-sliding-two-piston": calipers.sliding_two_piston,
    "caliper-fixed-two-piston": calipers.fixed_two_piston,
    "caliper-fixed-four-piston": calipers.fixed_four_piston,
    "slides-bolt-into-pin": calipers.slides_bolt_into_pin,
    "slides-bolt-is-pin": calipers.slides_bolt_is_pin,
    "slides-damper-pin": calipers.slides_damper_pin,
    "slides-abutment": calipers.slides_abutment,
    "nut-castle": nuts.nut_castle,
    "nut-hex-with-lock": nuts.nut_hex_with_lock,
    "nut-twin": nuts.nut_twin,
    "indicator-on-hub": measuring.indicator_on_hub,
    "indicator-on-rotor": measuring.indicator_on_rotor,
    "eight-points": measuring.eight_points,
    "pad-readings": measuring.pad_readings,
    "race-order": measuring.race_order,
    "cone-packing": measuring.cone_packing,
    "split-pin-bent": setups.split_pin_bent,
    "hose-banjo": setups.hose_banjo,
    "wheel-nut-star": setups.wheel_nut_star,
    "caliper-hung": setups.caliper_hung,
    "gravity-bleed-setup": setups.gravity_bleed_setup,
    "bleeder-at-top": setups.bleeder_at_top,
    "mark": setups.mark,
    "bearing-tapered-roller": wheel_ends.bearing_tapered_roller,
    "bearing-hub-unit": wheel_ends.bearing_hub_unit,
    "bearing-pressed": wheel_ends.bearing_pressed,
}
