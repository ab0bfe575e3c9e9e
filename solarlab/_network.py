"""The lumped thermal network of an oven, as rates of change of one scenario.  Compiled; no arrays of
scenarios.

States: inner and outer glazing, cavity (inner walls, tray, air), pot, liquid [°C]; free water in the pot,
vapour in the cavity air, water film on the inner glass [kg]; and the outermost shell of a solid food, which
the network meets as a temperature.  Energies count from 0 °C and liquid water, so the ledger is a sum of
what crosses the boundary.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from ._states import (
    ABSORBED,
    CAVITY,
    FILM,
    INNER,
    LIQUID,
    MOISTURE,
    MOISTURE_HEAT,
    OPENINGS,
    OUTER,
    POT,
    SKY,
    SURFACE,
    VAPOUR,
    VAPOUR_ENTHALPY,
    VAPOUR_GAS,
    VAPOUR_HEAT,
    VENTING,
    WALLS,
    WATER,
    WATER_HEAT,
    WIND,
)

SIGMA = 5.670374419e-8  # W/(m² K⁴), CODATA 2018
GRAVITY = 9.80665  # m/s²
KELVIN = 273.15
AIR_HEAT = 1006.0  # J/(kg K)
MASS_TRANSFER = 0.005  # m/s: Lewis relation for natural convection of about 5 W/(m² K)
IMMERSED_COEFFICIENT = 600.0  # W/(m² K), water to an immersed body
BOILING = 4.0e3  # W/K: how firmly a boiling liquid is held; 300 W overshoot by 0.08 K
OPEN_CONVECTION = 10.0  # W/(m² K), inner walls to outside air through the open lid
OPEN_EXCHANGE = 0.1  # 1/s, air changes through the open lid
FILM_LOSS = (
    0.12  # of the light, under a full film of droplets (Pieters et al. 1997 found .09–.15; from memory)
)
FILM_SCALE = 0.03  # kg/m² at which that loss is two thirds reached
FILM_MOST = 0.12  # kg/m²: beyond it drops run off


def compiler(**options):
    """numba's decorator: what it compiles is kept on disk, or made at each start where no disk takes it."""

    def decorate(function):
        try:
            return njit(cache=True, error_model="numpy", **options)(function)
        except RuntimeError:  # a course that may not be written in, and no home folder
            return njit(error_model="numpy", **options)(function)

    return decorate


#: Arrays are only lent to what is compiled so: nobody counts who holds them, which took half of the time.
#: ``_nrt`` is numba's word for that count, and not in its manual: without it all works, slower.
compiled = compiler(_nrt=False)


@compiled
def saturation_pressure(t):
    """Pa over water at ``t`` °C (Buck 1996)."""
    return 611.21 * math.exp((18.678 - t / 234.5) * (t / (257.14 + t)))


@compiled
def saturation_density(t):
    return saturation_pressure(t) / (VAPOUR_GAS * (t + KELVIN))


@compiled
def vapour_enthalpy(t):
    return VAPOUR_ENTHALPY + VAPOUR_HEAT * t


@compiled
def radiation(hot, cold, exchange):
    """W/(m² K) between two grey surfaces whose exchange factor is ``exchange``."""
    a = hot + KELVIN
    b = cold + KELVIN
    return exchange * SIGMA * (a * a + b * b) * (a + b)


@compiled
def natural_convection(difference, size):
    """W/(m² K) on a body of ``size`` m in still air:

    h = 1.32 (ΔT/D)^¼ (handbooks, laminar), smooth through zero.
    """
    return 1.32 * math.sqrt(math.sqrt(math.sqrt(difference * difference + 1.0) / size))


@compiled
def gap_convection(hot, cold, gap, cosine, stability, buoyancy):
    """W/(m² K) across an air gap heated from below, by Hollands et al. 1976, to 75°.

    ``cosine`` and ``stability`` = sin^1.6(1.8 tilt) of the tilt; ``buoyancy`` = (pressure / 1 atm)², thin air
    convects less.
    """
    mean = 0.5 * (hot + cold) + KELVIN
    conductivity = 0.0241 + 7.2e-5 * (mean - KELVIN)  # dry air
    if hot <= cold:
        return conductivity / gap  # stable layer: conduction
    ratio = mean / KELVIN
    viscosity = 1.33e-5 * ratio * math.sqrt(ratio * math.sqrt(ratio))  # m²/s at 1 atm, about T^1.75
    rayleigh = GRAVITY * (hot - cold) * gap**3 / (mean * viscosity * viscosity) * 0.71
    driven = rayleigh * cosine * buoyancy
    nusselt = 1.0
    if driven > 1708.0:
        bracket = 1.0 - 1708.0 * stability / driven
        nusselt += 1.44 * max(bracket, 0.0) * (1.0 - 1708.0 / driven)
    if driven > 5830.0:
        nusselt += np.cbrt(driven / 5830.0) - 1.0
    return nusselt * conductivity / gap


@compiled
def wind_coefficient(speed):
    """W/(m² K), Watmuff et al.

    1977: 2.8 + 3.0 V.  McAdams' 5.7 + 3.8 V contains radiation, counted apart here.
    """
    return 2.8 + 3.0 * speed


@compiled
def smooth_positive(x):
    return 0.5 * (x + math.sqrt(x * x + 4e-4))


@compiled
def rates(y, shell, half_shell, moist, f, p, out):
    """Write d/dt of the eight states, the heat into the outermost shell and the ledger's rates into ``out``.

    ``shell`` °C is the outermost shell, ``half_shell`` W/K from its middle to its surface, ``moist`` 1 while
    the body has water to lose and 0 when it has none, ``f`` one row of FORCING.
    """
    inner, outer, cavity, pot, liquid = y[INNER], y[OUTER], y[CAVITY], y[POT], y[LIQUID]
    water, vapour, film = max(y[WATER], 0.0), max(y[VAPOUR], 0.0), max(y[FILM], 0.0)
    air, sky, opened, cosine, sine, stability = f[2], f[3], f[5], f[6], f[7], f[8]
    steam = vapour_enthalpy(cavity)

    # Sunlight: a wet glass lets less through; what first misses is reflected about, some of it out again
    # (cavity absorptance, Duffie & Beckman section 5.11).
    light = f[0] * (1.0 - FILM_LOSS * (1.0 - math.exp(-film / (FILM_SCALE * p.aperture)))) * (1.0 - opened)
    if p.pot_area > 0.0:
        top = min(p.pot_top * cosine / p.aperture, 0.95)
        plan = min((p.pot_top * cosine + p.pot_side * sine) / p.aperture, 0.95)
        seen_food = top * p.pot_window * min(p.food_plan / p.pot_top, 1.0)
        past_food = top * p.pot_window - seen_food  # through glass to the tray; into an open tin to its metal
        on_food = seen_food * p.food_absorptance
        if p.body_open > 0.0:
            on_pot = (plan - seen_food) * p.pot_absorptance
            past_food = 0.0
        else:
            on_pot = plan * p.pot_absorptance
        on_tray = (1.0 - plan + past_food) * p.tray_absorptance
    else:
        covered = min(p.food_plan / p.aperture, 0.95)
        on_pot = 0.0
        on_food = covered * p.food_absorptance
        on_tray = (1.0 - covered) * p.tray_absorptance
    first = on_pot + on_food + on_tray
    share = light / (first + (1.0 - first) * p.escape)
    absorbed = light * first / (first + (1.0 - first) * p.escape)

    # Glazing.
    up = p.aperture * (
        gap_convection(cavity, inner, p.cavity_depth, cosine, stability, p.buoyancy)
        + radiation(cavity, inner, p.cavity_exchange)
    )
    up *= cavity - inner
    skin = inner
    between = 0.0
    if p.sheets > 1.5:
        skin = outer
        between = gap_convection(inner, outer, p.gap, cosine, stability, p.buoyancy)
        between += radiation(inner, outer, p.sheet_exchange)
        between *= p.aperture * (inner - outer)
    seen = 0.5 * (1.0 + cosine)
    to_wind = p.aperture * wind_coefficient(f[4]) * (skin - air)
    to_sky = seen * radiation(skin, sky, p.glass_emittance) * (skin - sky)
    to_sky += (1.0 - seen) * radiation(skin, air, p.glass_emittance) * (skin - air)  # ground: as warm as air
    to_sky *= p.aperture

    # Pot.
    cavity_to_pot = 0.0
    pot_to_liquid = 0.0
    if p.pot_area > 0.0:
        surface = natural_convection(cavity - pot, p.pot_diameter) + radiation(cavity, pot, p.pot_exchange)
        cavity_to_pot = (p.pot_area * surface + p.pot_base * p.pot_contact) * (cavity - pot)
        pot_to_liquid = p.pot_wet * (pot - liquid)

    # Water leaving the liquid: driven by vapour density below the boil, held at the boil.
    density = vapour / p.volume
    wet = water / (water + 1e-3)
    from_liquid = 0.0
    if p.liquid_area > 0.0:
        from_liquid = (
            MASS_TRANSFER * p.liquid_area * p.lid * max(saturation_density(min(liquid, 150.0)) - density, 0.0)
        )
        from_liquid += (
            BOILING
            * smooth_positive(liquid - p.boiling_point)
            / (vapour_enthalpy(liquid) - WATER_HEAT * liquid)
        )
        from_liquid *= wet

    # A solid body: its surface temperature balances what reaches it with conduction to the shell below.
    liquid_to_body = 0.0
    pot_to_body = 0.0
    cavity_to_body = 0.0
    into_body = 0.0
    from_body = 0.0
    body_surface = shell
    if p.bodies > 0.0:
        sun = share * on_food / p.bodies
        if p.body_in_liquid > 0.0:
            conductance = IMMERSED_COEFFICIENT * p.body_area
            conductance = conductance * half_shell / (conductance + half_shell)
            liquid_to_body = conductance * (liquid - shell)
            latent = vapour_enthalpy(shell) - WATER_HEAT * shell
            boil = moist * (1.0 - wet) ** 2 * smooth_positive(shell - p.boiling_point)
            from_body = 0.5 * BOILING * boil / latent
            into_body = liquid_to_body - from_body * latent  # once the pot is dry the food itself boils
        else:
            base = p.body_contact
            below = pot if p.body_in_pot > 0.0 else cavity
            around = pot if (p.body_in_pot > 0.0 and p.body_open == 0.0) else cavity
            free = p.body_free * (
                natural_convection(around - shell, p.body_size) + radiation(around, shell, p.body_exchange)
            )
            total = base + free + half_shell
            drive = base * below + free * around + half_shell * shell + sun
            body_surface = drive / total
            transfer = moist * MASS_TRANSFER * p.body_wetness * p.body_free
            transfer *= p.lid if p.body_in_pot > 0.0 else 1.0
            if transfer > 0.0:  # one Newton step from the dry balance
                at = min(body_surface, p.boiling_point)
                latent = vapour_enthalpy(at) - WATER_HEAT * at
                rate = transfer * (saturation_density(at) - density)
                slope_rate = transfer * (saturation_density(at + 0.5) - saturation_density(at - 0.5))
                body_surface = at + (drive - total * at - rate * latent) / (total + slope_rate * latent)
                from_body = max(rate + slope_rate * (body_surface - at), 0.0)
            pot_or_tray = base * (below - body_surface)
            rest = free * (around - body_surface)
            if p.body_in_pot > 0.0:
                pot_to_body = pot_or_tray
                if p.body_open > 0.0:
                    cavity_to_body = rest
                else:
                    pot_to_body += rest
            else:
                cavity_to_body = pot_or_tray + rest
            boil = moist * smooth_positive(shell - p.boiling_point)
            latent = vapour_enthalpy(body_surface) - WATER_HEAT * body_surface
            from_body += 0.5 * BOILING * boil / latent
            into_body = pot_to_body + cavity_to_body + sun - from_body * latent

    # Vapour in the cavity: condensation on the glass, leakage, and the push of new vapour past the seal.
    onto_glass = MASS_TRANSFER * p.aperture * (density - saturation_density(inner))
    if onto_glass < 0.0:
        onto_glass *= film / (film + 1e-3 * p.aperture)
    drip = max(film - FILM_MOST * p.aperture, 0.0) / 60.0
    exchange = p.leakage + OPEN_EXCHANGE * opened
    new = from_liquid + p.bodies * from_body
    fraction = min(density * VAPOUR_GAS * (cavity + KELVIN) / p.pressure, 1.0)
    pushed = max(new - onto_glass, 0.0) * fraction
    leaked = exchange * p.volume * p.pressure / (287.05 * (air + KELVIN)) * AIR_HEAT * (cavity - air)
    mouth = opened * p.aperture * (OPEN_CONVECTION + radiation(cavity, air, 0.9)) * (cavity - air)
    through_walls = p.wall_loss * (cavity - air)

    on_glass = f[1]
    gain_inner = up - between + onto_glass * (steam - WATER_HEAT * inner)
    if p.sheets > 1.5:
        out[INNER] = (0.5 * on_glass + gain_inner) / (p.glass_capacity + film * WATER_HEAT)
        out[OUTER] = (0.5 * on_glass + between - to_wind - to_sky) / p.glass_capacity
    else:
        out[INNER] = (on_glass + gain_inner - to_wind - to_sky) / (p.glass_capacity + film * WATER_HEAT)
        out[OUTER] = 0.0
    warm_vapour = (
        from_liquid * (vapour_enthalpy(liquid) - steam)
        + p.bodies * from_body * (vapour_enthalpy(body_surface) - steam)
        + exchange * p.ambient_vapour * (vapour_enthalpy(air) - steam)
    )
    to_cavity = (
        share * on_tray - up - through_walls - leaked - mouth - cavity_to_pot - p.bodies * cavity_to_body
    )
    out[CAVITY] = (to_cavity + warm_vapour) / (p.cavity_capacity + vapour * VAPOUR_HEAT)
    light_in_liquid = share * on_food if p.bodies == 0.0 or p.body_in_liquid > 0.0 else 0.0
    out[POT] = 0.0
    if p.pot_area > 0.0:
        out[POT] = (share * on_pot + cavity_to_pot - pot_to_liquid - p.bodies * pot_to_body) / p.pot_capacity
    out[LIQUID] = 0.0
    if p.liquid_area > 0.0:
        heat = pot_to_liquid + light_in_liquid - p.bodies * liquid_to_body
        heat -= from_liquid * (vapour_enthalpy(liquid) - WATER_HEAT * liquid)
        out[LIQUID] = heat / (p.liquid_capacity - (p.water_start - water) * WATER_HEAT)
    out[WATER] = -from_liquid
    out[VAPOUR] = new - onto_glass - exchange * (vapour - p.ambient_vapour) - pushed
    out[FILM] = onto_glass - drip
    out[SURFACE] = into_body

    out[ABSORBED] = absorbed + on_glass
    out[WIND] = to_wind
    out[SKY] = to_sky
    out[WALLS] = through_walls
    out[VENTING] = (
        leaked
        + exchange * (vapour * steam - p.ambient_vapour * vapour_enthalpy(air))
        + pushed * steam
        + drip * WATER_HEAT * inner
    )
    out[OPENINGS] = mouth
    out[MOISTURE_HEAT] = p.bodies * from_body * WATER_HEAT * body_surface
    out[MOISTURE] = p.bodies * from_body
