"""A body in a bath, integrated by scipy from its shells alone: an oracle that shares no code with heat."""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp
from scipy.linalg import expm


def in_bath(body, bath, coefficient, times, start=None):
    """Shell temperatures [°C] (T, n) of one ``body`` in a bath [°C] with ``coefficient`` [W/(m² K)]."""
    material, rows = body.shell_material, np.arange(len(body.enthalpy_grid))
    start = float(body.initial_temperature) if start is None else start

    def look_up(table, enthalpy):
        out = np.empty_like(enthalpy)
        for row in rows:
            mine = material == row
            out[mine] = np.interp(enthalpy[mine], body.enthalpy_grid[row], table[row])
        return out

    def rate(_, enthalpy):
        t, k = (
            look_up(body.temperature_of_enthalpy, enthalpy),
            look_up(body.conductivity_of_enthalpy, enthalpy),
        )
        flow = np.diff(t) / (body.outer_path[:-1] / k[:-1] + body.inner_path[1:] / k[1:])
        entering = (bath - t[-1]) / (body.outer_path[-1] / k[-1] + 1.0 / (coefficient * body.surface_area))
        return (np.append(flow, entering) - np.append(0.0, flow)) / body.shell_mass

    enthalpy = np.array(
        [np.interp(start, body.temperature_of_enthalpy[row], body.enthalpy_grid[row]) for row in material]
    )
    answer = solve_ivp(rate, (times[0], times[-1]), enthalpy, "LSODA", t_eval=times, rtol=1e-7, atol=1e-3)
    assert answer.success
    return np.array([look_up(body.temperature_of_enthalpy, column) for column in answer.y.T])


def cooled(inner, outer, volume, fourier, biot=np.inf):
    """Temperature left in shells of unit k, density and heat, from one at the start, in a bath at zero."""
    conductance = 1.0 / (outer[:-1] + inner[1:])
    matrix = np.diag(np.append(conductance, 0.0), 0) * -1.0 - np.diag(np.append(0.0, conductance))
    matrix += np.diag(conductance, 1) + np.diag(conductance, -1)
    matrix[-1, -1] -= 1.0 / (outer[-1] + (0.0 if np.isinf(biot) else 1.0 / biot))
    return expm(matrix / volume[:, None] * fourier) @ np.ones(len(volume))


def at_centre(values, radius):
    """Value at the centre by the parabola through the two innermost nodes."""
    curvature = (values[1] - values[0]) / (radius[1] ** 2 - radius[0] ** 2)
    return values[0] - curvature * radius[0] ** 2
