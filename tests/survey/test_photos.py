"""Photographs drawn from survey-tags.pdf itself: holes found from them, and every bad picture named."""

from __future__ import annotations

import io
import json
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

pytest.importorskip("cv2")

from tests.conftest import demo_text
from tests.survey.render import as_jpeg, pages_of, photograph
from tests.survey.scene import Lens, Scene, engine_scene, phone, round_about
from tests.survey.sets import HOLES, TARGET
from wheelcad.errors import JobError
from wheelcad.job.reader import load_job, parse_job
from wheelcad.packet.survey_tags import write_survey_tags
from wheelcad.survey.detect import find_tags
from wheelcad.survey.tags import TagSheet, plan_tags
from wheelcad.surveying import Print, SurveyOutcome, survey_command

FRONT_Z = 9.6  # the pulley's front face: 8 mm and half of 3.2 before the ring's middle
THINGS = {"thing-1": (60.0, 150.0, -5.0)}
SMALL = (2000, 1500)


@dataclass(frozen=True)
class Printout:
    """A job file, what its sheet says, and its pages as printed."""

    folder: Path
    job: Path
    sheet: TagSheet
    pages: list


def printout(folder: Path, text: str) -> Printout:
    job = folder / "job.yaml"
    job.write_text(text, encoding="utf-8")
    loaded = parse_job(text)
    pdf, _ = write_survey_tags(loaded, folder)
    return Printout(folder, job, plan_tags(loaded, "A4"), pages_of(pdf))


@pytest.fixture(scope="module")
def paper(tmp_path_factory: pytest.TempPathFactory) -> Printout:
    return printout(tmp_path_factory.mktemp("print"), demo_text("tarn-six"))


def taken(
    paper: Printout, scene: Scene, lens: Lens, poses: list, seed: int, name: str, exif: dict[int, bytes] | None = None
) -> list[Path]:
    """Photographs of a scene, as files."""
    rng = np.random.default_rng(seed)
    out = []
    for k, pose in enumerate(poses):
        file = paper.folder / f"{name}{k + 1}.jpg"
        file.write_bytes(as_jpeg(photograph(scene, paper.pages, lens, pose, rng)))
        out.append(file)
    return out


def off(outcome: SurveyOutcome, holes: dict[str, tuple[float, float, float]]) -> dict[str, tuple[float, float]]:
    """How far each hole lies from the truth, and its stated 95 %."""
    out = {}
    for point in outcome.data["points"]:
        found = np.array([point["x_mm"], point["y_mm"], point["z_mm"] - FRONT_Z])
        out[point["name"]] = (float(np.linalg.norm(found - holes[point["name"]])), point["within_95_mm"])
    return out


@pytest.fixture(scope="module")
def four(paper: Printout) -> tuple[list[Path], SurveyOutcome]:
    """Four pictures of 12 megapixels by a lens of unknown length with 3 % of distortion, and what they say."""
    rng = np.random.default_rng(2026)
    scene = engine_scene(paper.sheet, rng, HOLES | THINGS)
    files = taken(paper, scene, phone(rng), round_about(rng, 4, TARGET), 5, "four")
    return files, survey_command(paper.job, files, prints=Print(bars="150, 200, 0.1"), drawn=paper.folder / "drawn")


def test_the_wheel_and_the_bracket_are_drawn_where_the_true_camera_sees_them(
    paper: Printout, four: tuple[list[Path], SurveyOutcome]
) -> None:
    rng = np.random.default_rng(2026)  # as for `four`
    engine_scene(paper.sheet, rng, HOLES | THINGS)
    lens = phone(rng)
    poses = round_about(rng, 4, TARGET)
    drawn = four[1].data["drawn"]
    assert [Path(file).name for file in drawn] == ["1-four1.jpg", "2-four2.jpg", "3-four3.jpg", "4-four4.jpg"]
    angle = np.radians(np.arange(0.0, 360.0, 5.0))
    teeth = np.stack([80 * np.sin(angle), 80 * np.cos(angle), np.full(len(angle), 1.6 - FRONT_Z)], 1)
    plain_teeth = teeth[2::2]  # a tooth each, the one that is missing at 0 left out
    for file, (turn, shift) in zip(drawn, poses, strict=True):
        with Image.open(file) as picture:
            colour = np.asarray(picture.convert("RGB")).astype(int)
        wheel = np.argwhere((colour[..., 0] > 200) & (colour[..., 2] < 90) & (colour[..., 1] > 90))[:, ::-1]
        bracket = np.argwhere((colour[..., 0] < 90) & (colour[..., 2] > 200))
        assert len(bracket) > 500
        true = (lens.see(plain_teeth @ turn.T + shift) + 0.5) * colour.shape[1] / lens.size[0] - 0.5
        inside = ((true > 0) & (true < [colour.shape[1] - 1, colour.shape[0] - 1])).all(axis=1)
        apart = np.sqrt(((true[inside][:, None] - wheel[None]) ** 2).sum(-1)).min(axis=1)
        assert np.median(apart) < 2.5
        assert apart.max() < 6.0


def test_four_pictures_give_every_hole_within_three_tenths(four: tuple[list[Path], SurveyOutcome]) -> None:
    _, outcome = four
    found = off(outcome, HOLES | THINGS)
    assert set(found) == {"m1", "m2", "thing-1"}
    print_scale = 200.0 * 0.1 / 150  # at the farthest hole
    for name, (far, within) in found.items():
        assert far < 0.3 + print_scale, name
        assert far < within < 0.5, name


def test_the_numbers_of_each_picture_and_of_the_face_are_given(four: tuple[list[Path], SurveyOutcome]) -> None:
    files, outcome = four
    assert [photo["file"] for photo in outcome.data["photos"]] == [str(file) for file in files]
    assert all(photo["tags"] == 24 and photo["reprojection_px"] < 0.2 for photo in outcome.data["photos"])
    assert outcome.data["face"]["z_mm"] == pytest.approx(FRONT_Z - 38.0, abs=0.3)
    assert "thing-1 in the way at x, y, z" in outcome.text
    assert "four1.jpg" in outcome.text


@pytest.mark.slow
def test_eight_pictures_give_every_hole_within_two_tenths(paper: Printout) -> None:
    for seed in (1, 2, 3):
        rng = np.random.default_rng(seed)
        scene = engine_scene(paper.sheet, rng, HOLES)
        files = taken(paper, scene, phone(rng), round_about(rng, 8, TARGET), seed, f"eight{seed}-")
        found = off(survey_command(paper.job, files, prints=Print(bars="150, 200, 0.1")), HOLES)
        for far, within in found.values():
            assert far < 0.2 + 200.0 * 0.1 / 150
            assert far < within


@pytest.fixture(scope="module")
def small(paper: Printout) -> tuple[Scene, Lens, list, list[Path]]:
    """Three small pictures that are sound, and the scene they are of."""
    rng = np.random.default_rng(4)
    scene = engine_scene(paper.sheet, rng, HOLES)
    lens, poses = phone(rng, size=SMALL), round_about(rng, 3, TARGET)
    return scene, lens, poses, taken(paper, scene, lens, poses, 6, "small")


@pytest.fixture(scope="module")
def sound(paper: Printout, small: tuple[Scene, Lens, list, list[Path]]) -> tuple[list[Path], SurveyOutcome]:
    """The small pictures, and what they say."""
    return small[3], survey_command(paper.job, small[3], prints=Print(bars="150, 200, 0.1"))


def test_write_puts_places_and_the_face_into_the_job(
    sound: tuple[list[Path], SurveyOutcome], paper: Printout, tmp_path: Path
) -> None:
    files, _ = sound
    job = tmp_path / "job.yaml"
    job.write_text(demo_text("tarn-six").replace("mount_face: -30", "mount_face: -30  # by eye"), encoding="utf-8")
    outcome = survey_command(job, files, True, Print(bars="150, 200, 0.1", sheet=paper.folder))
    bracket = load_job(job).bracket
    assert bracket.mounts[0].x == pytest.approx(-132.0, abs=0.5)
    assert bracket.mount_face == pytest.approx(FRONT_Z - 38.0, abs=0.3)
    assert "# by eye" in job.read_text(encoding="utf-8")
    assert "bracket.mount_face: -28" in outcome.text
    assert "Next: the same with --drawn DIR draws bracket, wheel and sensor into your photographs" in outcome.text
    assert f"wheelcad build {job} makes the bracket" in outcome.text


def test_without_bars_the_95_per_cent_hold_what_a_printer_may_have_done(
    sound: tuple[list[Path], SurveyOutcome], paper: Printout
) -> None:
    files, measured = sound
    outcome = survey_command(paper.job, files)
    assert "The bars were not given" in outcome.text
    for with_bars, without in zip(measured.data["points"], outcome.data["points"], strict=True):
        far = np.hypot(without["x_mm"], without["y_mm"])
        assert without["within_95_mm"] > 0.02 * far > with_bars["within_95_mm"]


def test_bars_that_were_measured_scale_the_places(sound: tuple[list[Path], SurveyOutcome], paper: Printout) -> None:
    files, outcome = sound
    larger = survey_command(paper.job, files, prints=Print(bars="151.5, 202, 0.1"))
    for a, b in zip(outcome.data["points"], larger.data["points"], strict=True):
        assert (b["x_mm"], b["y_mm"]) == pytest.approx((1.01 * a["x_mm"], 1.01 * a["y_mm"]), abs=0.02)


def test_plates_under_the_prints_are_taken_off(sound: tuple[list[Path], SurveyOutcome], paper: Printout) -> None:
    files, outcome = sound
    plates = survey_command(paper.job, files, prints=Print(bars="150, 200, 0.1", plate="2", disc_plate="3 mm"))
    for a, b in zip(outcome.data["points"], plates.data["points"], strict=True):
        assert b["z_mm"] - a["z_mm"] == pytest.approx(3.0 - 2.0, abs=0.01)


def refused(paper: Printout, files: list[Path], prints: Print | None = None) -> str:
    """What is said of pictures that are refused."""
    with pytest.raises(JobError) as caught:
        survey_command(paper.job, files, prints=prints)
    return str(caught.value)


def test_corners_are_found_to_a_part_of_a_pixel(paper: Printout, small: tuple[Scene, Lens, list, list[Path]]) -> None:
    scene, lens, poses, files = small
    for file, (turn, shift) in zip(files, poses, strict=True):
        found = find_tags(np.asarray(Image.open(file)))
        true = {
            tag.number: lens.see(scene.corners(tag.on, tag.corners_mm) @ turn.T + shift)
            for tag in paper.sheet.tags
            if tag.on in scene.pieces
        }
        assert set(found.numbers.tolist()) == set(true)
        left = [corners - true[number] for number, corners in zip(found.numbers.tolist(), found.corners, strict=True)]
        assert float(np.sqrt(np.mean(np.square(left)))) < 0.1


def test_three_small_pictures_do_and_what_would_be_better_is_said(
    sound: tuple[list[Path], SurveyOutcome],
) -> None:
    for far, within in off(sound[1], HOLES).values():
        assert far < within
    assert "Only 3 pictures" in sound[1].text


def test_pictures_held_upright_and_turned_by_exif_give_the_same(
    paper: Printout, small: tuple[Scene, Lens, list, list[Path]], sound: tuple[list[Path], SurveyOutcome]
) -> None:
    files = []
    for k, (file, orientation, turn) in enumerate(zip(small[3], (6, 8, 3), (1, 3, 2), strict=True)):
        image = Image.open(file)
        exif = image.getexif()
        exif[0x0112] = orientation
        # stored as the sensor lay: turned back by what EXIF says to turn it
        stored = np.rot90(np.asarray(image), turn)
        out = paper.folder / f"turned{k + 1}.jpg"
        Image.fromarray(stored).save(out, quality=97, exif=exif.tobytes())
        files.append(out)
    straight = sound[1]
    turned = survey_command(paper.job, files, prints=Print(bars="150, 200, 0.1"))
    for a, b in zip(straight.data["points"], turned.data["points"], strict=True):
        assert (a["x_mm"], a["y_mm"], a["z_mm"]) == pytest.approx((b["x_mm"], b["y_mm"], b["z_mm"]), abs=0.1)


def test_a_picture_without_tags_is_left_out_and_said(
    paper: Printout, small: tuple[Scene, Lens, list, list[Path]]
) -> None:
    blank = paper.folder / "blank.jpg"
    blank.write_bytes(as_jpeg(np.random.default_rng(1).integers(0, 255, (900, 1200)).astype(np.uint8)))
    outcome = survey_command(paper.job, [*small[3], blank], prints=Print(bars="150, 200, 0.1"))
    assert "blank.jpg shows no tag" in outcome.text
    assert "too few pictures show the tags" in refused(paper, [small[3][0], blank])


def test_mirror_images_are_told_as_such(paper: Printout, small: tuple[Scene, Lens, list, list[Path]]) -> None:
    files = []
    for file in small[3]:
        out = paper.folder / f"mirror-{file.name}"
        out.write_bytes(as_jpeg(np.ascontiguousarray(np.asarray(Image.open(file))[:, ::-1])))
        files.append(out)
    said = refused(paper, files)
    assert "mirror-small1.jpg is a mirror image" in said
    assert "back camera" in said


def test_a_sheet_of_another_job_is_told_as_such(
    paper: Printout, small: tuple[Scene, Lens, list, list[Path]], tmp_path: Path
) -> None:
    other = printout(tmp_path, demo_text("tarn-six").replace("job: tarn-six", "job: another-six"))
    said = refused(paper, small[3], Print(sheet=other.folder))
    assert "tags of another sheet" in said
    assert "wheelcad sheet JOB --tags" in said


def test_a_sheet_of_the_same_job_printed_before_it_changed_is_told_as_such(
    paper: Printout, small: tuple[Scene, Lens, list, list[Path]], tmp_path: Path
) -> None:
    sheet = plan_tags(parse_job(demo_text("tarn-six")), "A4")
    wrong = sheet.as_json()
    for tag in wrong["tags"]:
        if tag["on"] == "disc":  # the disc of a smaller pulley
            tag["corners_mm"] = tag["corners_mm"] - 0.3 * tag["corners_mm"].mean(axis=0)
            tag["corners_page_mm"] = tag["corners_mm"] + [111.0, 108.0]
    file = tmp_path / "survey-tags.json"
    file.write_text(json.dumps(wrong, default=lambda array: array.tolist()), encoding="utf-8")
    said = refused(paper, small[3], Print(sheet=file))
    assert "shows the disc otherwise than survey-tags.json says" in said


@pytest.mark.slow  # the usual run has it on corners, in test_bundle
def test_a_card_moved_between_pictures_gives_no_place(
    paper: Printout, small: tuple[Scene, Lens, list, list[Path]]
) -> None:
    scene, lens, poses, files = small
    pieces = dict(scene.pieces)
    pieces["m1"] = (pieces["m1"][0], pieces["m1"][1] + np.array([4.0, 1.0, 0.0]))
    moved = taken(paper, replace(scene, pieces=pieces), lens, poses[2:], 9, "moved")
    said = refused(paper, [*files[:2], *moved])
    assert "moved" in said


def test_two_prints_of_the_same_card_in_one_picture_are_told(
    paper: Printout, small: tuple[Scene, Lens, list, list[Path]]
) -> None:
    picture = np.asarray(Image.open(small[3][0]))
    both = paper.folder / "both.jpg"
    both.write_bytes(as_jpeg(np.concatenate([picture, picture], axis=1)))
    assert "twice: two prints are in the picture" in refused(paper, [*small[3], both])


def test_what_is_no_picture_is_told_with_what_to_do(paper: Printout, tmp_path: Path) -> None:
    heic = tmp_path / "IMG_1.HEIC"
    heic.write_bytes(b"\x00\x00\x00\x18ftypheic" + b"\x00" * 200)
    text = tmp_path / "notes.txt"
    text.write_text("no picture", encoding="utf-8")
    tiny = tmp_path / "tiny.png"
    Image.new("L", (320, 240)).save(tiny)
    cut = tmp_path / "cut.jpg"
    out = io.BytesIO()
    Image.new("L", (1200, 900)).save(out, "JPEG")
    cut.write_bytes(out.getvalue()[:700])
    said = refused(paper, [heic, text, tiny, cut, tmp_path / "absent.jpg"])
    assert "IMG_1.HEIC: is a HEIC picture" in said
    assert "save it as JPEG" in said
    assert "notes.txt: is no picture" in said
    assert "tiny.png: is too small" in said
    assert "cut.jpg: cannot be read as a picture" in said
    assert "absent.jpg: cannot be read: No such file" in said


def test_a_huge_picture_is_halved_until_it_can_be_worked_on(tmp_path: Path) -> None:
    from wheelcad.survey.pictures import KEPT_PIXELS, read_picture

    huge = tmp_path / "huge.png"
    Image.new("L", (9000, 6000), 128).save(huge, compress_level=1)
    picture = read_picture(huge)
    assert picture.size_px == (4500, 3000)
    assert picture.grey.size <= KEPT_PIXELS


@pytest.mark.parametrize("bars", ["150", "150, x", "15, 200", "150, 200, 0"])
def test_bars_that_cannot_be_meant_are_refused(paper: Printout, bars: str) -> None:
    assert "--bars" in refused(paper, [paper.folder / "four1.jpg"], Print(bars=bars))


def test_a_missing_library_is_told_with_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    import builtins

    from wheelcad.survey.library import cv2

    real = builtins.__import__

    def without(name: str, *args: object, **more: object) -> object:
        if name == "cv2":
            raise ModuleNotFoundError(f"No module named '{name}'", name=name)
        return real(name, *args, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(JobError, match=r"pip install 'wheelcad\[photos\]'"):
        cv2()
