"""The same right-hand side in a general-purpose solver, to check the compiled march and to time it."""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp

from solarlab import _states as network
from solarlab._march import Shells, derivative, look_up


def reference(problem, scenario: int = 0, **options):
    """(nodes (T, 8), shells (T, n) °C) of one scenario of a ``_scenario.Problem``, one solve per sky step.

    The state is ordered shells first, then network, so that the Jacobian is banded: 9 below and 9 above.
    """
    q, i = problem, scenario
    body = Shells(
        q.mass[i], q.inner[i], q.outer[i], q.material[i], q.grid, q.width, q.tables[0], q.tables[1]
    )  # fmt: skip
    n = body.mass.shape[0]
    size = 16 + n
    scratch = [np.empty(n), np.empty(n), np.empty(n)]
    dy, row, full = np.empty(size), np.empty(network.ROWS), np.zeros(size)
    y = np.zeros(9 + n)  # the last: the water the bodies have lost
    first, load = q.first[i], q.load[i]
    forcing = q.forcing(slice(i, i + 1))[0]
    y[n + network.INNER] = y[n + network.OUTER] = y[n + network.CAVITY] = forcing[first, 2]
    y[n + network.POT] = y[n + network.LIQUID] = q.start[i, 0]
    y[n + network.WATER] = q.parameters[i, 1]["water_start"]
    y[n + network.VAPOUR] = q.parameters[i, 1]["ambient_vapour"]
    y[:n] = q.start[i, 1:]
    instants = forcing.shape[0]
    nodes, shells = np.empty((instants, 8)), np.empty((instants, n))
    for k in range(instants):
        nodes[k] = y[n : n + 8]
        for j in range(n):
            shells[k, j] = look_up(y[j], body.material[j], body.start, body.width, body.temperature)[0]
        if k < first or k == instants - 1:
            continue
        constants = q.parameters[i, int(k >= load)]
        solid = q.solid and k >= load
        f = forcing[k]

        def rate(_, y, f=f, constants=constants, solid=solid):
            full[:8], full[8 : 8 + n], full[-1] = y[n : n + 8], y[:n], y[-1]
            derivative(full, f, constants, body, solid, *scratch, dy, row)
            return np.concatenate([dy[8 : 8 + n], dy[:8], dy[-1:]])

        y = solve_ivp(rate, (0.0, q.step), y, **{"method": "LSODA", **options}).y[:, -1]
    return nodes, shells
