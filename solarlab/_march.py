"""Step one scenario after another through the day: network and shells together, implicit and adaptive.
Compiled.

The method is RODAS3 (Sandu et al. 1997): four stages, third order with an embedded second-order error
estimate, L-stable, so a gram of glass beside two litres of soup costs no small steps.  The shells form a
tridiagonal chain that meets the network only at its outermost shell: the chain is eliminated first, a system
of at most 9 × 9 remains, of the states on which anything depends.  Within one sky step the forcing is
constant.  Every scenario chooses its own steps, so a batch equals its singles exactly.
"""

from __future__ import annotations

from collections import namedtuple

import numpy as np

from ._network import compiled, compiler, rates
from ._states import CAVITY, INNER, LIQUID, OUTER, POT, ROWS, SURFACE, VAPOUR, WATER

#: One solid body: shells from the centre outwards, and its materials' tables (see food.Body).
Shells = namedtuple("Shells", "mass inner_path outer_path material start width temperature conductivity")
Work = namedtuple(
    "Work",
    "temperature slope conductance dy row jacobian active matrix stages rate chain "
    "temperature2 slope2 conductance2 x moved",
)

GAMMA = 0.5  # of RODAS3; its other coefficients stand in _advance
NETWORK = 9  # eight states and the outermost shell
TOLERANCE = np.array([0.04, 0.04, 0.04, 0.04, 0.02, 1e-4, 4e-5, 3e-5, 0.01])  # °C and kg, error of one step
NUDGE = np.array([1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-7, 1e-7, 1e-7, 1e-4])  # for the difference quotient
PLENTY = 0.05  # kg of water in the pot beyond which losing a little changes no rate
MOST_STEPS = 20000  # in one sky step


@compiled
def look_up(enthalpy, row, start, width, table):
    """Value and slope of a piecewise-linear ``table`` row on its uniform enthalpy grid."""
    last = table.shape[1] - 2
    place = (enthalpy - start[row]) / width[row]
    k = min(max(int(place), 0), last)
    slope = table[row, k + 1] - table[row, k]
    return table[row, k] + slope * (place - k), slope / width[row]


@compiled
def read_shells(y, body, temperature, slope, conductance):
    """Fill the shells' temperatures, dT/dH, and the conductances outwards of each.

    The last conductance leads to the surface.
    """
    n = body.mass.shape[0]
    last = body.temperature.shape[1] - 2
    before = 0.0
    for i in range(n):  # `look_up` in two tables on one grid, the place found once
        row = body.material[i]
        place = (y[8 + i] - body.start[row]) / body.width[row]
        k = min(max(int(place), 0), last)
        part = place - k
        low, high = body.temperature[row, k], body.temperature[row, k + 1]
        temperature[i] = low + (high - low) * part
        slope[i] = (high - low) / body.width[row]
        low, high = body.conductivity[row, k], body.conductivity[row, k + 1]
        through = low + (high - low) * part
        if i > 0:
            conductance[i - 1] = 1.0 / (before + body.inner_path[i] / through)
        before = body.outer_path[i] / through
    conductance[n - 1] = 1.0 / before


@compiled
def moisture_left(y, p):
    """1 while solid bodies are wet, falling to 0 as the last twentieth of their water leaves."""
    if p.body_water <= 0.0:
        return 1.0
    lost = y[y.shape[0] - 1]
    return min(max((p.body_water - lost) / (0.05 * p.body_water), 0.0), 1.0)


@compiled
def derivative(y, f, p, body, solid, temperature, slope, conductance, dy, row):
    """d/dt of the whole state:

    8 network states, n shells [J/kg], 8 ledger rows.  ``row`` is scratch (ROWS,).
    """
    n = body.mass.shape[0]
    shell = 0.0
    half = 1.0
    if solid:
        read_shells(y, body, temperature, slope, conductance)
        shell = temperature[n - 1]
        half = conductance[n - 1]
    rates(y, shell, half, moisture_left(y, p), f, p, row)
    for i in range(8):
        dy[i] = row[i]
        dy[8 + n + i] = row[NETWORK + i]
    for i in range(n):
        dy[8 + i] = 0.0
    if solid:
        for i in range(n - 1):
            flow = conductance[i] * (temperature[i + 1] - temperature[i])
            dy[8 + i] += flow / body.mass[i]
            dy[9 + i] -= flow / body.mass[i + 1]
        dy[7 + n] += row[SURFACE] / body.mass[n - 1]


@compiled
def _factor(diagonal, body, solid, count, w):
    """Factor ``diagonal`` I - J: the chain from the centre outwards, then the system of the active states.

    No pivoting: 1/(γh) carries the diagonal.  A pivot lost anyway makes the trial step not a number, and the
    step is tried again shorter.  ``chain`` holds multipliers, inverse pivots and upper neighbours.
    """
    n = body.mass.shape[0]
    m, chain, active = w.matrix, w.chain, w.active
    for j in range(count):
        column = w.jacobian[active[j]]
        for i in range(count):
            m[i, j] = -column[active[i]]
        m[j, j] += diagonal
    if solid:
        for i in range(n - 1):
            pivot = diagonal + w.conductance[i] * w.slope[i] / body.mass[i]
            if i > 0:
                lower = w.conductance[i - 1] / body.mass[i]
                chain[0, i] = -lower * w.slope[i - 1] * chain[1, i - 1]
                pivot += lower * w.slope[i] - chain[0, i] * chain[2, i - 1]
            chain[1, i] = 1.0 / pivot
            chain[2, i] = -w.conductance[i] * w.slope[i + 1] / body.mass[i]
        if n > 1:
            lower = w.conductance[n - 2] / body.mass[n - 1]
            chain[0, n - 1] = -lower * w.slope[n - 2] * chain[1, n - 2]
            m[count - 1, count - 1] += lower * w.slope[n - 1] - chain[0, n - 1] * chain[2, n - 2]
    for k in range(count):
        inverse = 1.0 / m[k, k]
        m[k, k] = inverse
        for i in range(k + 1, count):
            if m[i, k] != 0.0:
                multiplier = m[i, k] * inverse
                m[i, k] = multiplier
                for j in range(k + 1, count):
                    m[i, j] -= multiplier * m[k, j]


@compiled
def _solve(stage, diagonal, solid, count, w):
    """Replace the right-hand side ``stage`` by the solution of the factored system."""
    n = w.slope.shape[0]
    m, chain, x, active = w.matrix, w.chain, w.x, w.active
    if solid:
        for i in range(1, n):
            stage[8 + i] -= chain[0, i] * stage[7 + i]
    for i in range(count):
        place = active[i]
        total = stage[place if place < 8 else 7 + n]
        for j in range(i):
            total -= m[i, j] * x[j]
        x[i] = total
    for i in range(count - 1, -1, -1):
        total = x[i]
        for j in range(i + 1, count):
            total -= m[i, j] * x[j]
        x[i] = total * m[i, i]
    for i in range(count):
        place = active[i]
        stage[place if place < 8 else 7 + n] = x[i]
    for j in range(count):  # the ledger feeds nothing back
        column, at = w.jacobian[active[j]], x[j]
        for i in range(8):
            stage[8 + n + i] += column[NETWORK + i] * at
    for i in range(8):
        stage[8 + n + i] /= diagonal
    if solid:
        for i in range(n - 2, -1, -1):
            stage[8 + i] = (stage[8 + i] - chain[2, i] * stage[9 + i]) * chain[1, i]


@compiled
def _advance(y, h, f, p, body, solid, count, w, new):
    """One trial step of ``h`` seconds from ``y``, linearised there, into ``new``.

    The last stage is the error.
    """
    k1, k2, k3, k4 = w.stages[0], w.stages[1], w.stages[2], w.stages[3]
    diagonal = 1.0 / (GAMMA * h)
    _factor(diagonal, body, solid, count, w)
    for i in range(y.shape[0]):
        k1[i] = w.dy[i]
    _solve(k1, diagonal, solid, count, w)
    for i in range(y.shape[0]):
        k2[i] = w.dy[i] + 4.0 / h * k1[i]
        new[i] = y[i] + 2.0 * k1[i]
    _solve(k2, diagonal, solid, count, w)
    derivative(new, f, p, body, solid, w.temperature2, w.slope2, w.conductance2, w.rate, w.row)
    for i in range(y.shape[0]):
        k3[i] = w.rate[i] + (k1[i] - k2[i]) / h
    _solve(k3, diagonal, solid, count, w)
    for i in range(y.shape[0]):
        new[i] += k3[i]
    derivative(new, f, p, body, solid, w.temperature2, w.slope2, w.conductance2, w.rate, w.row)
    for i in range(y.shape[0]):
        k4[i] = w.rate[i] + (k1[i] - k2[i] - 8.0 / 3.0 * k3[i]) / h
    _solve(k4, diagonal, solid, count, w)
    for i in range(y.shape[0]):
        new[i] += k4[i]


@compiled
def _linearise(y, f, p, body, solid, w):
    """dy at ``y``, and how network, outermost shell and ledger depend on each state, by difference quotients.

    Row j of ``jacobian`` holds d(rates)/d(state j).  Returns how many states can change; ``active`` lists
    them.
    """
    jacobian, row, moved, active = w.jacobian, w.row, w.moved, w.active
    n = body.mass.shape[0]
    derivative(y, f, p, body, solid, w.temperature, w.slope, w.conductance, w.dy, row)
    shell = w.temperature[n - 1] if solid else 0.0
    half = w.conductance[n - 1] if solid else 1.0
    moist = moisture_left(y, p)
    count = 0
    for j in range(NETWORK):
        idle = (j == OUTER and p.sheets < 1.5) or (j == POT and p.pot_area == 0.0) or (j == 8 and not solid)
        idle = idle or (j in (LIQUID, WATER) and p.liquid_area == 0.0)
        if idle:
            continue
        active[count] = j
        count += 1
        column = jacobian[j]
        if j == WATER and y[WATER] > PLENTY:  # hardly anything depends on it
            for i in range(ROWS):
                column[i] = 0.0
            continue
        if j < 8:
            kept = y[j]
            y[j] = kept + NUDGE[j]
            rates(y, shell, half, moist, f, p, moved)
            y[j] = kept
            scale = 1.0 / NUDGE[j]
        else:
            rates(y, shell + NUDGE[j], half, moist, f, p, moved)
            scale = w.slope[n - 1] / NUDGE[j]
        for i in range(ROWS):
            column[i] = (moved[i] - row[i]) * scale
        column[8] = column[8] / body.mass[n - 1] if solid else 0.0
    return count


@compiled
def _over_tolerance(new, error, cooking, slope):
    """Largest error estimate over its tolerance; infinite where the trial is not a number."""
    worst = 0.0
    for i in range(8):
        worst = max(worst, abs(error[i]) / TOLERANCE[i])
        if not np.isfinite(new[i]):
            return np.inf
    if cooking:
        for i in range(slope.shape[0]):
            worst = max(worst, abs(error[8 + i]) * slope[i] / TOLERANCE[8])
            if not np.isfinite(new[8 + i]):
                return np.inf
    return worst


@compiler()
def march(p, forcing, step, first, load, body, cooked, start, nodes, shells, ledger):
    """Carry one scenario through its day; return the number of steps taken, negative if it had to give up.

    ``p`` holds the constants of the empty oven and of the loaded one; ``forcing`` (T, 7) holds over the step
    that begins at each instant.  The oven stands at ambient until instant ``first``, then in the sun; pot
    and food enter at instant ``load``.  ``start`` is the food's temperature and its shells' enthalpies.
    ``nodes`` (T, 8), ``shells`` (T, n) °C and ``ledger`` (T, 9: eight rows and the heat in one body) are
    states at the instants.
    """
    n = body.mass.shape[0]
    size = 16 + n
    y = np.zeros(size)
    new = np.empty(size)
    w = Work(
        np.empty(n), np.empty(n), np.empty(n), np.empty(size), np.empty(ROWS), np.zeros((NETWORK, ROWS)),
        np.zeros(NETWORK, np.int64), np.empty((NETWORK, NETWORK)), np.zeros((4, size)), np.empty(size),
        np.zeros((3, n)), np.empty(n), np.empty(n), np.empty(n), np.empty(NETWORK), np.empty(ROWS),
    )  # fmt: skip
    instants = forcing.shape[0]
    y[INNER] = y[OUTER] = y[CAVITY] = forcing[min(first, instants - 1), 2]
    y[POT] = y[LIQUID] = start[0]
    y[WATER] = p[1].water_start
    y[VAPOUR] = p[1].ambient_vapour
    y[8 : 8 + n] = start[1:]
    h = 2.0
    taken = 0
    for k in range(instants):
        nodes[k] = y[:8]
        ledger[k, :8] = y[8 + n :]
        heat = 0.0
        for i in range(n):
            shells[k, i], _ = look_up(y[8 + i], body.material[i], body.start, body.width, body.temperature)
            heat += body.mass[i] * y[8 + i]
        ledger[k, 8] = heat
        if k < first or k == instants - 1:
            continue
        loaded = k >= load
        constants = p[1] if loaded else p[0]
        cooking = cooked and loaded
        if k == load:
            h = 2.0  # cold food in a hot oven: begin gently
        done = 0.0
        tries = 0
        fresh = True
        count = 0
        while step - done > 1e-9 * step:
            tries += 1
            if tries > MOST_STEPS:
                return -1
            trial = min(h, step - done)
            if fresh:
                count = _linearise(y, forcing[k], constants, body, cooking, w)
            _advance(y, trial, forcing[k], constants, body, cooking, count, w, new)
            worst = _over_tolerance(new, w.stages[3], cooking, w.slope)
            factor = min(max(0.9 * max(worst, 1e-6) ** (-1.0 / 3.0), 0.2), 5.0)
            fresh = worst <= 1.0
            if fresh:
                for i in range(size):
                    y[i] = new[i]
                done += trial
                taken += 1
            if trial == h or not fresh:
                h = trial * factor
            elif trial * factor < h:
                h = max(trial * factor, trial)
            h = min(h, step)
    return taken


@compiler(nogil=True)
def march_all(p, forcing, step, first, load, mass, inner, outer, material, grid, width, tables, cooked, start,
              nodes, shells, ledger, steps):  # fmt: skip
    """``march`` for each scenario of a block; leading axis of every array is the scenario."""
    for i in range(p.shape[0]):
        body = Shells(mass[i], inner[i], outer[i], material[i], grid, width, tables[0], tables[1])
        steps[i] = march(
            p[i], forcing[i], step, first[i], load[i], body, cooked, start[i], nodes[i], shells[i], ledger[i]
        )
