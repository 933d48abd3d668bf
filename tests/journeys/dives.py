"""Dives made on the fly: small pictures with the times that a camera writes."""

from datetime import datetime, timedelta

from PIL import Image, ImageDraw

CAMERA, TAKEN, OFFSET, EXIF = 0x0110, 0x9003, 0x9011, 0x8769
"""Tags of Exif 3.0: model, date and time of the original, its offset, the Exif directory."""

BEGUN = datetime(2024, 3, 12, 10, 0, 0)


def make_dive(folder, n=30, each=3, within_s=7, between_s=240, first=1):
    """Write pictures of animals, so many of each, and return their paths in order."""
    folder.mkdir(parents=True, exist_ok=True)
    moment = BEGUN
    paths = []
    for i in range(n):
        moment += timedelta(seconds=between_s if i and i % each == 0 else within_s)
        paths.append(write_picture(folder, first + i, i // each, moment))
    return paths


def make_dives(folder, n_dives=3, n_animals=4, each=3):
    """Write dives that gaps of time alone cannot sort; return paths, one list an animal.

    Two dives are on one day. On each the diver goes away in the middle of the second animal
    and comes to the fourth at once; the clock of the second dive is an hour ahead.
    """
    folder.mkdir(parents=True, exist_ok=True)
    animals, n = [], 0
    for dive in range(n_dives):
        moment = BEGUN + timedelta(hours=4 * (dive % 2), days=dive // 2)
        for animal in range(n_animals):
            moment += timedelta(seconds=8 if animal == 3 else 200)
            animals.append([])
            for i in range(each):
                moment += timedelta(
                    seconds=150 if animal == 1 and i == 1 else 7 if i else 0
                )
                shown = moment + timedelta(hours=dive == 1)
                number = len(animals)
                animals[-1].append(write_picture(folder, n + 4100, number, shown))
                n += 1
    return animals


def write_picture(folder, number, animal, moment):
    """Write one picture as a camera does, and return its path."""
    image = Image.new("RGB", (320, 240), (40 + animal * 19 % 160, number % 256, 120))
    ImageDraw.Draw(image).ellipse((60, 70, 260, 180), fill=(220, animal * 47 % 250, number))
    exif = Image.Exif()
    exif[CAMERA] = "Reef 5"
    exif.get_ifd(EXIF)[TAKEN] = moment.strftime("%Y:%m:%d %H:%M:%S")
    path = folder / f"DSC_{number:04d}.JPG"
    image.save(path, exif=exif, quality=80)
    return path
