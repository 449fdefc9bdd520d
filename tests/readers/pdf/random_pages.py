"""Pages of random but valid content, by number: nested states, forms, clips, layers, odd numbers, split streams."""

from __future__ import annotations

import random
import zlib

from small_pdfs import stream, written

__all__ = ["random_page"]

MEDIA = ("/MediaBox [0 0 200 100]", "/MediaBox [-10 -10 210.5 110.25]", "/MediaBox [210 110 -5 -7]")
CROPS = ("", "/CropBox [20 10 180 90]", "/CropBox [-50 5 150.5 400]")
TURNS = ("", "/Rotate 90", "/Rotate 180", "/Rotate 270", "/Rotate -90", "/Rotate 450")
UNITS = ("", "/UserUnit 2", "/UserUnit 0.5")
POINTS = {"l": 1, "c": 3, "v": 2, "y": 2}
PAINTS = ("f", "F", "f*", "S", "s", "B", "B*", "b", "b*")
STATES = """/ExtGState << /G0 << /LW 3 /LC 1 >> /G#2f1 << /OP true /OPM 1 /D [[2 1] 0] >> /G2 << /LJ 2 /ML 4 >> >>"""
LAYERS = ("L20", "L21", "L22", "L24", "L25", "L26")


def random_page(number: int) -> bytes:
    """A file of one page; the same number gives the same file."""
    return _Writer(number).file()


class _Writer:
    def __init__(self, number: int) -> None:
        self.chance = random.Random(number)  # noqa: S311 - nothing secret

    def blank(self) -> str:
        return self.chance.choice((" ", " ", "\n", "\t", "\r\n", "\r", "\f", "\0", " %c(omment [<< /x q\n"))

    def words(self, *words: str) -> str:
        return "".join(word + self.blank() for word in words)

    def number(self, value: float) -> str:
        """A number in one of the ways that ISO 32000-1, 7.3.3, allows."""
        text = f"{round(value, self.chance.randrange(4)):.3f}".rstrip("0").rstrip(".")
        sign, digits = ("-", text[1:]) if text.startswith("-") else ("", text)
        return sign + self.chance.choice(
            (
                digits,
                digits,
                digits.removeprefix("0") if digits.startswith("0.") else digits,
                digits if "." in digits else digits + ".",
                "00" + digits,
                (digits if "." in digits else digits + ".") + "0" * self.chance.randrange(1, 14),
                digits + "0000271828" if "." in digits else digits,
            )
        )

    def numbers(self, *values: float) -> str:
        return self.words(*(self.number(value) for value in values))

    def points(self, count: int) -> str:
        return self.numbers(*(self.chance.uniform(-20, most) for _ in range(count) for most in (220, 120)))

    def matrix(self) -> str:
        return " ".join(f"{self.chance.uniform(-1.2, 1.2):.4f}" for _ in range(4)) + " 80.5 -.25"

    def path(self) -> str:
        chance, parts = self.chance, []
        for _ in range(chance.choice((1, 1, 2, 3))):
            if chance.random() < 0.3:
                parts.append(self.points(1) + self.numbers(chance.uniform(-80, 80), -30) + self.words("re"))
            else:
                parts += [self.points(1) + self.words("m") for _ in range(chance.choice((1, 1, 1, 2)))]
            for _ in range(chance.randrange(1, 6)):
                step = chance.choice("lllcvy")
                parts.append(self.points(POINTS[step]) + self.words(step))
            if chance.random() < 0.5:
                parts.append(self.words("h") * chance.choice((1, 1, 2)))
        return "".join(parts)

    def content(self, forms: list[str]) -> str:
        chance, parts, saved, marked = self.chance, [], 0, 0
        for _ in range(chance.randrange(4, 12)):
            what = chance.random()
            if what < 0.12:
                parts.append(self.words("q"))
                saved += 1
            elif what < 0.2 and saved:
                parts.append(self.words("Q"))
                saved -= 1
            elif what < 0.28:
                parts.append(self.words(self.matrix(), "cm"))
            elif what < 0.35:
                parts.append(self.path() + self.words(chance.choice(("W", "W*")), "n"))
            elif what < 0.42:
                parts.append(self.words("/OC", f"/{chance.choice(LAYERS)}", "BDC"))
                marked += 1
            elif what < 0.47 and marked:
                parts.append(self.words("EMC"))
                marked -= 1
            elif what < 0.57 and forms:
                parts.append(self.words(f"/{chance.choice(forms)}", "Do"))
            elif what < 0.62:
                parts.append(self.picture())
            elif what < 0.72:
                parts.append(self.setting())
            else:
                colour = " ".join(f"{chance.random():.3f}" for _ in range(3))
                parts.append(self.words(colour, chance.choice(("rg", "RG"))) + self.path())
                parts.append(self.words(chance.choice(PAINTS)))
        return "".join(parts) + self.words("EMC") * marked + self.words("Q") * saved

    def setting(self) -> str:
        chance = self.chance
        return chance.choice(
            (
                self.number(chance.uniform(0, 9)) + " w ",
                f"{chance.randrange(3)} J {chance.randrange(3)} j ",
                f"[{self.numbers(3, 1.5)}]{self.number(1)} d ",
                "BX 1 2 (x) newop EX ",
                "/Art <</A[1(x)<4142>]/B<</C true/D null>>>> BDC EMC ",
                self.words(f"/{chance.choice(('G0', 'G#2f1', 'G2'))}", "gs"),
            )
        )

    def picture(self) -> str:
        """An inline image, often with bytes inside that look like its end."""
        chance = self.chance
        pixels = chance.randbytes(20)
        pixels = pixels[:8] + chance.choice((b" EI ", b"\nEI\n", b"EI q")) + pixels[12:]
        packing, packed = chance.choice(
            (("", pixels), ("/F/Fl ", zlib.compress(pixels)), ("/F/RL ", b"\x13" + pixels + b"\x80"))
        )
        return f"BI /W 5/H 4/BPC 8/CS/G {packing}ID {packed.decode('latin-1')}\nEI "

    def resources(self, forms: int) -> str:
        layers = " ".join(f"/{name} {name[1:]} 0 R" for name in LAYERS)
        names = " ".join(f"/F{index} {40 + index} 0 R" for index in range(forms))
        return f"/Resources << {STATES} /Properties << {layers} >> /XObject << {names} >> >>"

    def form(self, inner: list[str], resources: str) -> bytes:
        chance = self.chance
        entries = "/Type /XObject /Subtype /Form /BBox [-30 120.5 210 -10]"
        if chance.random() < 0.6:
            entries += f" /Matrix [{self.matrix()}]"
        if chance.random() < 0.7:
            entries += resources
        if chance.random() < 0.3:
            entries += f" /OC {chance.choice(LAYERS)[1:]} 0 R"
        return self.packed(self.content(inner).encode("latin-1"), entries)

    def packed(self, data: bytes, entries: str = "") -> bytes:
        if self.chance.random() < 0.5:
            return stream(data, entries)
        return stream(zlib.compress(data), f"{entries} /Filter /FlateDecode")

    def file(self) -> bytes:
        chance = self.chance
        forms = chance.randrange(5)
        names = [f"F{index}" for index in range(forms)]
        resources = self.resources(forms)
        objects: dict[int, bytes | str] = self.layers()
        for index in reversed(range(forms)):
            objects[40 + index] = self.form(names[index + 1 :], resources)
        streams = [self.content(names) for _ in range(chance.choice((1, 2, 3)))]
        objects |= {60 + index: self.packed(one.encode("latin-1")) for index, one in enumerate(streams)}
        attributes = [chance.choice(MEDIA), chance.choice(CROPS), chance.choice(TURNS), resources]
        inherited = [chance.random() < 0.5 for _ in attributes]
        above = " ".join(one for one, up in zip(attributes, inherited, strict=True) if up)
        own = " ".join(one for one, up in zip(attributes, inherited, strict=True) if not up)
        contents = " ".join(f"{60 + index} 0 R" for index in range(len(streams)))
        off = chance.choice(("", "/OFF [20 0 R]", "/BaseState /OFF /ON [22 0 R]"))
        listed = f"/OCProperties << /OCGs [20 0 R 21 0 R 22 0 R] /D << {off} >> >>"
        objects[1] = f"<< /Type /Catalog /Pages 2 0 R {listed} >>"
        objects[2] = f"<< /Type /Pages /Kids [4 0 R] /Count 1 {above} >>"
        objects[3] = f"<< /Type /Page /Parent 4 0 R /Contents [{contents}] {chance.choice(UNITS)} {own} >>"
        objects[4] = "<< /Type /Pages /Parent 2 0 R /Kids [3 0 R] /Count 1 >>"
        return written(objects)

    def layers(self) -> dict[int, bytes | str]:
        policy = self.chance.choice(("AllOn", "AnyOn", "AnyOff", "AllOff"))
        return {
            **{index: f"<< /Type /OCG /Name (Layer {index}) >>" for index in (20, 21, 22)},
            24: f"<< /Type /OCMD /OCGs [20 0 R 21 0 R] /P /{policy} >>",
            25: "<< /Type /OCMD /OCGs 22 0 R >>",
            26: "<< /Type /OCMD /VE [/And 20 0 R [/Not 22 0 R]] >>",
        }
