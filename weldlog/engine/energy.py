"""The formulas of travel speed, arc energy, heat input, arc time and gas.

Arc energy is the electrical energy per length of weld. Heat input is arc energy times the thermal
efficiency of the process. Some codes call the first one heat input; here the two are never mixed.
"""


def travel_speed_mm_s(weld_length_mm: float, arc_time_s: float) -> float:
    """Return length over time [mm/s]; both above zero.

    >>> round(travel_speed_mm_s(150, 36) * 60)
    250
    """
    return weld_length_mm / arc_time_s


def arc_energy_from_averages(voltage_v: float, current_a: float, travel_speed_mm_s: float) -> float:
    """Return the arc energy V I / (1000 v) [kJ/mm].

    Parameters
    ----------
    voltage_v, current_a : float
        What the meters show [V, A]. With a pulsed current the product may be off by up to
        about 30 % (heat-S7).
    travel_speed_mm_s : float
        Speed along the joint, above zero [mm/s].

    Source: memory-iso-tr-18491, method A; example heat-S12 (CV05).

    >>> arc_energy_from_averages(20, 300, 2.5)
    2.4
    """
    return voltage_v * current_a / (1000 * travel_speed_mm_s)


def arc_energy_from_energy(arc_energy_kj: float, weld_length_mm: float) -> float:
    """Return an energy reading over the length of the run [kJ/mm]; the length is above zero.

    Source: memory-iso-tr-18491, method B; identity (CV14).

    >>> arc_energy_from_energy(42, 150)
    0.28
    """
    return arc_energy_kj / weld_length_mm


def arc_energy_from_power(mean_power_kw: float, travel_speed_mm_s: float) -> float:
    """Return the mean instantaneous power over the travel speed [kJ/mm]; the speed is above zero.

    Source: memory-iso-tr-18491, method C; identity (CV15).

    >>> round(arc_energy_from_power(1.9, travel_speed_mm_s(150, 36)), 6)
    0.456
    """
    return mean_power_kw / travel_speed_mm_s


def heat_input(arc_energy_kj_mm: float, thermal_efficiency: float) -> float:
    """Return arc energy times thermal efficiency [kJ/mm]; two significant figures are honest.

    Source: heat-S1; example from the inputs of heat-S18 (CV11).

    >>> round(1000 * heat_input(arc_energy_from_averages(18.0, 120, 5.26), 0.8), 3)
    328.517
    """
    return thermal_efficiency * arc_energy_kj_mm


def arc_time_s(weld_length_mm: float, travel_speed_mm_s: float) -> float:
    """Return the time with the arc on [s]; the speed is above zero.

    >>> round(arc_time_s(150, 200 / 60), 9)
    45.0
    """
    return weld_length_mm / travel_speed_mm_s


def gas_used_l(
    gas_flow_l_min: float, arc_time_s: float, preflow_s: float, postflow_s: float
) -> float:
    """Return the shielding gas that one run takes [L].

    Source: identity (CV45).

    >>> round(gas_used_l(12, 45, 0.5, 13), 2)
    11.7
    """
    return gas_flow_l_min * (arc_time_s + preflow_s + postflow_s) / 60


def cylinder_time_s(gas_l: float, gas_flow_l_min: float) -> float:
    """Return how long the gas of a cylinder lasts at a flow above zero [s].

    Source: heat-S53 (CV46): 80 cubic feet at 20 cubic feet an hour last 4 hours.

    >>> from weldlog.engine.units import to_base
    >>> round(cylinder_time_s(to_base(80, "ft3"), to_base(20, "ft3/h")) / 3600, 9)
    4.0
    """
    return 60 * gas_l / gas_flow_l_min
