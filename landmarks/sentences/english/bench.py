"""English sentences of the window as a whole: menus, start, settings, saving."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    "window.title": "{collection} · Hingeline",
    "window.title_example": "Worked example · Hingeline",
    "settings.broken": "The preferences could not be read; the file was set aside as “{file}” and the usual ones are in force.",
    "settings.not_written": "The preferences could not be written ({reason}); your work is not affected.",
    "menu.collection": "&Collection",
    "menu.specimen": "&Specimen",
    "menu.picture": "&Picture",
    "menu.landmarks": "&Landmarks",
    "menu.characters": "C&haracters",
    "menu.view": "&View",
    "menu.help": "&Help",
}
