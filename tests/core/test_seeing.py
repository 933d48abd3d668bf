"""Seeing better: only what is shown changes, and only as it says."""

import numpy as np
import pytest
from pytest import approx

from landmarks.instruments.seeing import (
    Seeing,
    brighter,
    local_contrast,
    seen,
    underwater,
)


@pytest.fixture
def reef():
    """A made-up dive picture: shapes on a slope of light, most of its red gone."""
    rng = np.random.default_rng(3)
    y, x = np.mgrid[0:240, 0:320]
    light = 0.35 + 0.3 * x / 320 + 0.08 * np.sin(x / 9) * np.cos(y / 7)
    light = light + rng.normal(0, 0.01, light.shape)
    water = np.stack([0.3 * light, 0.9 * light, light], -1)
    return np.clip(water * 255, 0, 255).astype(np.uint8)


HOW = [
    Seeing(local_contrast=1.0),
    Seeing(underwater=True),
    Seeing(brightness=1.0),
    Seeing(0.5, underwater=True, brightness=-0.5),
]


@pytest.mark.parametrize("how", HOW)
def test_the_picture_itself_stays_as_it_is(reef, how):
    before = reef.copy()
    shown = seen(reef, how)
    assert (reef == before).all()
    assert shown.shape == reef.shape
    assert shown.dtype == np.uint8
    assert (shown != reef).any()
    assert how.adjusted


def test_nothing_chosen_shows_the_very_picture(reef):
    assert not Seeing().adjusted
    assert seen(reef, Seeing()) is reef


def test_local_contrast_lifts_detail_and_leaves_plains_alone(reef):
    plain = np.full((100, 160, 3), 120, np.uint8)
    assert (local_contrast(plain) == plain).all()
    light, shown = reef[..., 1].astype(float), local_contrast(reef)[..., 1].astype(float)
    detail = slice(60, 180), slice(100, 120)
    assert shown[detail].std() > 1.4 * light[detail].std()
    assert shown.mean() == approx(light.mean(), abs=3)


def test_edges_do_not_move():
    step = np.full((120, 200, 3), 80, np.uint8)
    step[:, 103:] = 150
    shown = local_contrast(step)[60, :, 0].astype(int)
    assert int(np.argmax(np.abs(np.diff(shown)))) == 102


def test_underwater_gives_red_back_and_balances_to_grey(reef):
    shown = underwater(reef).reshape(-1, 3).mean(0)
    assert np.ptp(shown) < 0.1 * shown.mean()
    assert shown[0] > reef[..., 0].mean() * 1.5


def test_underwater_leaves_a_grey_picture_grey():
    y, x = np.mgrid[0:80, 0:120]
    grey = np.repeat(((x + y) % 200 + 20).astype(np.uint8)[..., None], 3, axis=2)
    shown = underwater(grey)
    assert np.ptp(shown.astype(int), axis=2).max() <= 2
    assert abs(shown.astype(int) - grey).max() <= 3


def test_a_channel_that_is_not_there_does_not_become_noise():
    blue = np.zeros((40, 40, 3), np.uint8)
    blue[..., 2] = 200
    blue[..., 0] = 1
    assert underwater(blue)[..., 0].max() <= 8


@pytest.mark.parametrize("stops", [-2.0, -0.5, 0.5, 2.0])
def test_brightness_keeps_order_black_and_white(stops):
    ramp = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    shown = brighter(ramp, stops)[0, :, 0].astype(int)
    assert (shown[0], shown[255]) == (0, 255)
    assert (np.diff(shown) >= 0).all()
    assert np.sign(shown[100] - 100) == np.sign(stops)


def test_brightness_undone_is_the_picture_again():
    ramp = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    assert abs(brighter(brighter(ramp, 1.0), -1.0).astype(int) - ramp).max() <= 6


@pytest.mark.parametrize("shape", [(1, 1, 3), (3, 5, 3), (33, 2, 3)])
def test_the_smallest_picture_is_no_trouble(shape):
    tiny = np.full(shape, 77, np.uint8)
    assert seen(tiny, HOW[-1]).shape == shape
