"""A dive made on the fly: small pictures with the times that a camera writes."""

from datetime import datetime, timedelta

from PIL import Image, ImageDraw

CAMERA, TAKEN, OFFSET, EXIF = 0x0110, 0x9003, 0x9011, 0x8769
"""Tags of Exif 3.0: model, date and time of the original, its offset, the Exif directory."""


def make_dive(folder, n=30, each=3, within_s=7, between_s=240, first=1):
    """Write pictures of animals, so many of each, and return their paths in order."""
    folder.mkdir(parents=True, exist_ok=True)
    moment = datetime(2024, 3, 12, 10, 0, 0)
    paths = []
    for i in range(n):
        moment += timedelta(seconds=between_s if i and i % each == 0 else within_s)
        animal = i // each
        image = Image.new(
            "RGB", (320, 240), (40 + animal * 19 % 160, first % 256, 120 + i % 60)
        )
        ImageDraw.Draw(image).ellipse((60, 70, 260, 180), fill=(220, animal * 47 % 250, i))
        exif = Image.Exif()
        exif[CAMERA] = "Reef 5"
        exif.get_ifd(EXIF)[TAKEN] = moment.strftime("%Y:%m:%d %H:%M:%S")
        path = folder / f"DSC_{first + i:04d}.JPG"
        image.save(path, exif=exif, quality=80)
        paths.append(path)
    return paths
