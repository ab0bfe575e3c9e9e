"""Heat against the world outside: top loss, wind, conduction in a sphere, and what real boxes do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from solarlab import _network as network
from solarlab import _states as states
from solarlab._march import march_all
from solarlab._scenario import problem
from solarlab.catalogue import oven
from solarlab.food import Body
from solarlab.heat import stagnation, top_loss_coefficient
from solarlab.sky import sky_temperature
from tests._scenes import EARLY, MEAT, OVEN, POT, instants_of, made_gain, made_sky


@pytest.mark.parametrize(("covers", "expected"), [(1, 6.6), (2, 3.9)])
def test_top_loss_of_a_flat_plate(covers, expected):
    """T_p 100 °C, T_a 10 °C, h_w 10, ε .95/.88, 25 mm, 45°.

    One cover: Duffie & Beckman example 6.4.1, 6.6 W/m²K [memory]; two covers: Klein's formula [lib].
    """
    loss, temperatures = top_loss_coefficient(100.0, 10.0, covers=covers, wind_coefficient=10.0)
    assert loss == pytest.approx(expected, rel=0.05)
    if covers == 1:
        assert temperatures[0] == pytest.approx(48.0, abs=2.0)


def test_wind_coefficient_is_watmuffs():
    """Watmuff, Charters & Proctor 1977: 2.8 + 3.0 V; McAdams' 5.7 + 3.8 V holds radiation too [memory]."""
    assert network.wind_coefficient(0.0) == pytest.approx(2.8)
    assert network.wind_coefficient(5.0) == pytest.approx(17.8)
    radiated = 0.88 * 4 * 5.670e-8 * 298.15**3
    for speed in (0.0, 1.0):
        assert network.wind_coefficient(speed) + radiated == pytest.approx(5.7 + 3.8 * speed, abs=2.8)


def test_swinbank_clear_sky():
    """Swinbank 1963: T_sky = 0.0552 T_a^1.5; 30 °C → 18.2 °C [lib]."""
    assert sky_temperature(30.0) == pytest.approx(18.2, abs=0.05)


def test_vapour_enthalpy_follows_the_steam_tables():
    """h_g: 2500.9, 2591.3, 2675.6 kJ/kg at 0, 50, 100 °C; h_fg 2256.4 at 100 °C (IAPWS-IF97) [memory]."""
    for temperature, enthalpy in ((0.0, 2500.9e3), (50.0, 2591.3e3), (100.0, 2675.6e3)):
        assert network.vapour_enthalpy(temperature) == pytest.approx(enthalpy, rel=2e-3)
    latent = network.vapour_enthalpy(100.0) - states.WATER_HEAT * 100.0
    assert latent / 3600.0 == pytest.approx(627.0, abs=1.0)  # W to evaporate 1 kg/h [lib]


def sphere(biot: float, n: int, radius: float = 0.05) -> Body:
    """A sphere of constant properties in water; its conductivity is chosen for ``biot``."""
    conductivity = network.IMMERSED_COEFFICIENT * radius / biot
    density, heat = 1000.0, 4000.0
    edges = np.linspace(0.0, radius, n + 1)
    volume = 4.0 / 3.0 * np.pi * np.diff(edges**3)
    middle = np.cbrt((edges[1:] ** 3 + edges[:-1] ** 3) / 2.0)
    with np.errstate(divide="ignore"):
        inner = (1.0 / edges[:-1] - 1.0 / middle) / (4.0 * np.pi)
    outer = (1.0 / middle - 1.0 / edges[1:]) / (4.0 * np.pi)
    grid = np.linspace(0.0, heat * 240.0, 1024)[None]
    one = np.ones(())
    return Body(
        liquid_mass=1e7 * one, liquid_specific_heat=4186.0 * one, water_mass=1e7 * one, pieces=one,
        shell_mass=density * volume, shell_material=np.zeros(n, int), enthalpy_grid=grid,
        temperature_of_enthalpy=grid / heat - 40.0, conductivity_of_enthalpy=np.full_like(grid, conductivity),
        initial_temperature=0.0 * one, inner_path=inner, outer_path=outer, node_radius=middle,
        surface_area=4 * np.pi * radius**2 * one, contact_area=0.0 * one, plan_area=0.0 * one,
        absorptance=0.0 * one, emittance=0.9 * one, surface_wetness=0.0 * one, moisture=one, form="pieces",
    )  # fmt: skip


def centre(biot: float, fourier: float, n: int = 24) -> float:
    """θ = (T − T_water)/(T₀ − T_water) of the middle of a cold sphere in hot water, by the march."""
    body, radius = sphere(biot, n), 0.05
    diffusivity = float(body.conductivity_of_enthalpy[0, 0]) / (1000.0 * 4000.0)
    seconds = fourier * radius**2 / diffusivity
    step = seconds / 100.0
    times = instants_of()
    times = replace(times, utc=times.utc[0] + np.arange(101) * np.timedelta64(round(step * 1e9), "ns"))
    sky = made_sky(times, air=50.0, cold=50.0)
    q = problem(OVEN, POT, body, made_gain(times, 0.0), sky, EARLY, ())
    q.start[0, 0] = 50.0  # water; the sphere at 0
    nodes, shells = np.empty((1, 101, 8)), np.empty((1, 101, n))
    ledger, steps = np.empty((1, 101, 9)), np.empty(1, dtype=np.int64)
    layers = (q.mass, q.inner, q.outer, q.material, q.grid, q.width, q.tables)
    given = (q.parameters, q.forcing(), q.step, q.first, q.load, *layers, q.solid, q.start)
    march_all(*given, nodes, shells, ledger, steps)  # fmt: skip
    assert steps[0] > 0
    assert abs(nodes[0, -1, states.LIQUID] - 50.0) < 0.05
    # The innermost node is a small ball's mean; the centre lies on the parabola through the first two nodes.
    first, second = body.node_radius[:2] ** 2
    middle = shells[0, -1, 0] - (shells[0, -1, 1] - shells[0, -1, 0]) * first / (second - first)
    return (middle - 50.0) / (0.0 - 50.0)


def series(biot: float, fourier: float, terms: int = 40) -> float:
    """Centre of a sphere by the exact series: 1 − ζ cot ζ = Bi."""
    roots = [
        brentq(
            lambda z: np.sin(z) - z * np.cos(z) - biot * np.sin(z), (k + 1e-9) * np.pi, (k + 1 - 1e-9) * np.pi
        )
        for k in range(terms)
    ]
    z = np.array(roots)
    a = 4.0 * (np.sin(z) - z * np.cos(z)) / (2.0 * z - np.sin(2.0 * z))
    return float(np.sum(a * np.exp(-(z**2) * fourier)))


@pytest.mark.parametrize(
    ("biot", "root", "factor"),
    [(0.1, 0.5423, 1.0298), (1.0, 1.5708, 1.2732), (10.0, 2.8363, 1.9249), (100.0, 3.1102, 1.9990)],
)
def test_sphere_in_a_stream_cools_by_its_first_mode(biot, root, factor):
    """ζ₁ and A₁ of the one-term series (heat-transfer handbooks, e.g. Incropera table 5.1) [lib]."""
    late = 0.35 if biot > 5.0 else (0.6 if biot > 0.5 else 3.0)
    assert series(biot, late) == pytest.approx(factor * np.exp(-(root**2) * late), rel=2e-3)
    assert centre(biot, late) == pytest.approx(factor * np.exp(-(root**2) * late), rel=0.01)


@pytest.mark.parametrize(("fourier", "theta"), [(0.1, 0.7071), (0.2, 0.2771), (0.1388, 0.5)])
def test_sphere_with_its_surface_held(fourier, theta):
    """Surface held: θ .7071 at Fo .1, .2771 at .2, half at .1388 (Carslaw & Jaeger) [lib]."""
    assert centre(2e4, fourier) == pytest.approx(theta, abs=0.006)


@pytest.mark.parametrize("biot", [1.0, 2e4])
def test_halving_the_mesh_moves_the_centre_little(biot):
    assert centre(biot, 0.2, 24) == pytest.approx(centre(biot, 0.2, 48), rel=2e-3, abs=2e-3)


def test_unmirrored_boxes_stagnate_where_real_ones_do():
    """115–145 °C at 800–1000 W/m² and 25–35 °C outside; F1 .09–.16 [part seen in abstracts, part memory]."""
    box = oven("bare box")
    area = box.aperture_width * box.aperture_length
    transmitted = 0.72  # two sheets of window glass, near normal incidence
    for irradiance, air in ((800.0, 25.0), (900.0, 30.0)):
        through, kept = transmitted * irradiance * area, 0.13 * irradiance * area
        settled = stagnation(box, into_cavity=through, into_glazing=kept, air_temperature=air, tilt=20.0)
        merit = (settled.cavity - air) / irradiance
        assert 0.09 <= merit <= 0.16
        assert 105.0 <= settled.cavity <= 150.0


def test_meat_is_not_a_stone():
    """A wet body in a hot dry box stays below the boil."""
    from solarlab.food import body
    from solarlab.heat import warm

    times = instants_of(4.0)
    arguments = (made_gain(times, 350.0, shape="flat"), made_sky(times), EARLY)
    result = warm(OVEN, None, body(MEAT), *arguments)
    assert result.cavity.max() > 120.0 > 100.2 > result.shells.max()
