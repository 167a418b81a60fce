"""The story of the product, act by act, as two people live it. Each act is one function."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from tests.browser.people import Person

PASSWORD = "a-quiet-bassoon-77"
CLAIM_ACTS = 25  # keys and clicks a first statement may cost: the project's own promise


def expect(thing: Any) -> Any:
    from playwright.sync_api import expect as playwright_expect

    return playwright_expect(thing)


# --- the tutor -----------------------------------------------------------------
def tutor_signs_up(tutor: Person) -> None:
    tutor.go("/account/signup/")
    page = tutor.page
    page.get_by_label("Name for signing in").fill(tutor.login)
    page.get_by_label("Name shown in your courses").fill(tutor.name)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password again").fill(PASSWORD)
    tutor.press("Sign up")
    expect(page.get_by_role("heading", level=1)).to_have_text("Today")


def tutor_uploads(tutor: Person, file: Path) -> None:
    page = tutor.page
    menu(tutor, "Library")
    page.get_by_role("link", name="Upload a score").first.click()
    page.get_by_label("Work", exact=True).fill("Little serenade")
    page.get_by_label("Movement or number").fill("I. Andante")
    page.get_by_label("File", exact=True).set_input_files(file)
    page.get_by_label("Composer ·").fill("written for this test")
    page.get_by_label("Where the file comes from").fill("this project")
    page.get_by_label("Licence of the file").fill("as the project")
    page.get_by_label("Basis of use").select_option(label="own work")
    page.get_by_label("Country assessed").fill("Utopia")
    page.get_by_label("I am entitled").check()
    tutor.press("Upload")
    page.get_by_role("link", name="Confirm the parts").wait_for()


def tutor_confirms(tutor: Person) -> None:
    page = tutor.page
    page.get_by_role("link", name="Confirm the parts").click()
    expect(page.get_by_role("row")).to_have_count(6)  # five parts and the head
    confirm_all(tutor)
    expect(page.locator(".place").first).to_contain_text("ready")


def confirm_all(tutor: Person) -> int:
    """All doubt-free parts together, each doubt by itself; returns how many acts it took."""
    page = tutor.page
    page.get_by_role("button", name=re.compile("Confirm the .* without a doubt")).click()
    doubts = page.get_by_role("button", name="It is right as read")
    left = doubts.count()
    for n in range(left):
        doubts.first.click()
        if n + 1 < left:
            expect(doubts).to_have_count(left - n - 1)
    return 1 + left


def tutor_reads_the_findings(tutor: Person) -> None:
    page = tutor.page
    choose_bars(page, 1, 4)
    finding = page.get_by_role("listitem").filter(has_text=re.compile("Flauto.*octave"))
    finding.first.wait_for()
    finding.first.get_by_role("button", name=re.compile("Flauto.*octave")).click()
    lit = page.locator(".score-page .lit")
    expect(lit.first).to_be_visible()
    assert lit.count() >= 16, "flute and violins play sixteen notes each in bars 1-4"
    expect(page.locator(".ring").first).to_be_attached()


def tutor_makes_a_course(tutor: Person) -> str:
    """A term course with the score in it; returns the invitation word."""
    page = tutor.page
    menu(tutor, "Courses")
    page.get_by_role("link", name="New course").click()
    page.get_by_label("Title").fill("Reading in the evening")
    page.get_by_label("Kind of course").select_option(label="term course with dates")
    page.get_by_label("Begins").fill("2020-09-01")
    page.get_by_label("Ends").fill("2099-07-01")
    tutor.press("Save")
    page.get_by_label("From your library").select_option(label="Little serenade: I. Andante")
    tutor.press("Put into the course")
    tutor.press("New invitation word")
    return page.get_by_test_id("invitation-word").inner_text().strip()


def tutor_writes_a_note(tutor: Person) -> None:
    page = tutor.page
    menu(tutor, "Library")
    page.get_by_role("link", name="I. Andante").click()
    choose_bars(page, 1, 4)
    page.get_by_text("New note").click()
    note = page.get_by_role("group", name="New note")
    expect(note.get_by_label("Bars", exact=True)).to_have_value("1-4")
    note.get_by_label("Stop of the walk").fill("1")
    note.get_by_label("Note", exact=True).fill("Follow the violins. Who comes with them?")
    note.get_by_label("For", exact=True).select_option(label="Reading in the evening")
    note.get_by_text("Parts lit, parts sounding").click()
    note.get_by_label("Violino I lit").check()
    tutor.press("Keep note")
    expect(page.get_by_text("Follow the violins.")).to_be_visible()


def tutor_writes_an_assignment(tutor: Person) -> None:
    page = tutor.page
    to_course(tutor)
    page.get_by_label("Title of a new assignment").fill("First reading")
    tutor.press("New assignment")
    page.get_by_label("Score", exact=True).select_option(label="Little serenade: I. Andante")
    page.get_by_label("Closes").fill("2099-06-01T20:00")
    tutor.press("Add a prompt")
    prompt = page.get_by_role("group", name="Prompt 1")
    prompt.get_by_label("Title").fill("Who goes with the violins?")
    prompt.get_by_label("Passage").fill("1-4")
    prompt.get_by_label("Question").fill("Name the part, and how far apart they sound.")
    prompt.get_by_text("Kinds of statement wanted").click()
    prompt.get_by_label("Doubling").check()
    tutor.press("Publish")
    expect(page.get_by_text("Published.")).to_be_visible()


def tutor_says_yes(tutor: Person, student: Person) -> None:
    tutor.go("/")
    asking = tutor.page.get_by_role("listitem").filter(has_text=student.name)
    asking.get_by_role("button", name="Yes, take in").click()
    expect(tutor.page.get_by_role("button", name="Yes, take in")).to_have_count(0)
    to_course(tutor)
    expect(tutor.page.get_by_role("row").filter(has_text=student.name)).to_contain_text(
        "in the course"
    )


def tutor_rules(tutor: Person) -> None:
    """The flag agrees, with its sentence and its notes lit; a reply, and the key "a"."""
    page = tutor.page
    tutor.go("/")
    page.get_by_role("link", name="First reading").click()
    page.locator(".computed").wait_for()
    expect(page.locator(".computed .flag-agrees")).to_be_visible()
    expect(page.locator(".computed")).to_contain_text(re.compile("Flauto.*octave"))
    expect(page.locator(".score-page .lit").first).to_be_visible()
    page.keyboard.press("r")
    page.keyboard.type("Well seen; now listen for it.")
    page.keyboard.press("Escape")
    page.keyboard.press("a")
    expect(page.get_by_role("heading", level=1)).to_contain_text("All statements are ruled")


def tutor_gives_back(tutor: Person, student: Person) -> None:
    page = tutor.page
    page.get_by_role("link", name="Board").first.click()
    row = page.get_by_role("row").filter(has_text=student.name)
    expect(row.locator(".flag-agrees")).to_be_visible()
    expect(page.get_by_role("heading", name="What nobody has mentioned yet")).to_be_visible()
    expect(page.get_by_test_id("unmentioned").get_by_role("listitem").first).to_be_visible()
    page.get_by_role("button", name=re.compile("Give back")).click()
    expect(page.get_by_text("1 paper given back.")).to_be_visible()


def tutor_answers_the_find(tutor: Person) -> None:
    page = tutor.page
    tutor.go("/")
    page.get_by_role("link", name=re.compile("The horn only ever")).click()
    expect(page.locator(".score-page svg").first).to_be_visible()
    page.get_by_label("Answer").fill("Open tones: there is nothing else it could play.")
    tutor.press("Send")
    expect(page.get_by_text("Open tones: there is nothing")).to_be_visible()


# --- the student ----------------------------------------------------------------
def student_asks_in(student: Person, word: str) -> None:
    page = student.page
    student.go("/join/")
    page.get_by_label("Invitation word").fill(word)
    student.press("Go on")
    page.get_by_label("Name shown in the course").fill(student.name)
    page.get_by_label("Name for signing in").fill(student.login)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Age").select_option(label="18 or older")
    page.get_by_label("I have read what is kept").check()
    student.press("Ask to join")
    expect(page.get_by_text("Your tutor has been asked.")).to_be_visible()


def student_opens_the_passage(student: Person) -> None:
    page = student.page
    student.go("/")
    page.get_by_role("link", name="First reading").click()
    expect(page.locator(".score-page svg").first).to_be_visible()


def student_follows_the_note(student: Person) -> None:
    page = student.page
    student.press("Next")
    expect(page.get_by_text("Who comes with them?").first).to_be_visible()
    expect(page.locator(".band").first).to_be_attached()


def student_listens(student: Person) -> None:
    """The sound is made by the worker, fetched when asked for, and runs along the bars."""
    page = student.page
    student.press("Listen")
    expect(page.get_by_role("button", name="Pause")).to_be_visible()
    expect(page.locator(".bar-mark.sounding")).to_have_count(1)
    student.press("Stop")


def student_says_a_sentence(student: Person) -> None:
    """Typed, proposed, taken over by Enter; and taken back, since it is said by hand next."""
    page = student.page
    page.get_by_label("Say it in a sentence").focus()
    page.keyboard.type("b. 2-3: Fl doubles Vl I an octave higher")
    page.keyboard.press("Enter")
    expect(page.locator("#proposal")).to_contain_text("one octave above")
    page.keyboard.press("Enter")
    expect(page.locator("#s-bars")).to_have_value("2-3")
    expect(page.locator("#statements")).to_contain_text("Doubling")
    student.press("Take back")
    expect(page.locator("#no-statements")).to_be_visible()


def student_states(student: Person) -> int:
    """Flauto doubles Violino I one octave above, bars 1-4. Returns keys and clicks."""
    page = student.page
    before = student.acts()
    page.get_by_role("button", name="Answer this").click()
    expect(page.get_by_label("Parts", exact=True)).to_be_focused()
    expect(page.locator("#s-bars")).to_have_value("1-4")
    page.keyboard.type("Fl")
    page.keyboard.press("Tab")
    page.keyboard.type("Vl I")
    page.keyboard.press("Tab")
    page.keyboard.type("one octave a")
    student.press("Keep this statement")
    expect(page.locator("#statements")).to_contain_text("Doubling")
    return student.acts() - before


def student_hands_in(student: Person) -> None:
    student.press("Hand in")
    expect(student.page.locator("#paper-state")).to_contain_text("Your tutor reads it.")


def student_sees_nothing_yet(student: Person, secrets: list[str]) -> None:
    """Neither flag nor reply, on no page one can reach, nor in what the pages fetch."""
    page = student.page
    fetched: list[Any] = []

    def note(response: Any) -> None:
        fetched.append(response)

    page.on("response", note)
    paths = pages_within_reach(student)
    assert any(path.endswith("/paper/") for path in paths), "the own paper is within reach"
    for path in files_among(student, paths):
        text = page.request.get(student.url + path).text()
        for secret in secrets:
            assert secret not in text, f"“{secret}” in {path}"
        paths.remove(path)
    for path in paths:
        fetched.clear()
        student.go(path)
        page.wait_for_load_state("networkidle")
        texts = {r.url: r.text() for r in fetched if r.ok and "/static/" not in r.url}
        for where, text in {**texts, path: page.content()}.items():
            for secret in secrets:
                assert secret not in text, f"“{secret}” in {where} on {path}"
    page.remove_listener("response", note)


def files_among(student: Person, paths: list[str]) -> list[str]:
    """What is handed out as a file: a window cannot go there."""
    answers = {path: student.page.request.get(student.url + path) for path in paths}
    return [
        p for p, a in answers.items() if "attachment" in a.headers.get("content-disposition", "")
    ]


def pages_within_reach(student: Person) -> list[str]:
    """Every page linked from the pages one starts at, two steps deep."""
    seen: list[str] = []
    front = ["/", "/courses/", "/finds/"]
    for _step in range(3):
        found: list[str] = []
        for path in front:
            if path in seen:
                continue
            seen.append(path)
            if files_among(student, [path]):
                continue
            student.go(path)
            for link in student.page.locator("a[href]").all():
                target = (link.get_attribute("href") or "").split("#")[0]
                if target.startswith("/") and target not in seen and target not in found:
                    found.append(target)
        front = found
    return seen


def student_sees_the_answer(student: Person) -> None:
    page = student.page
    student.go("/")
    page.get_by_role("link", name="First reading").click()
    answer = page.get_by_role("article")
    expect(answer.locator(".flag-agrees")).to_be_visible()
    expect(answer).to_contain_text("Well seen; now listen for it.")
    answer.get_by_role("button", name="Show the notes").click()
    expect(page.locator(".score-page .lit").first).to_be_visible()


def student_sends_a_find(student: Person) -> None:
    page = student.page
    page.get_by_text("Send a find to your tutor").click()
    find = page.get_by_role("group", name="Send a find")
    find.get_by_label("Bars", exact=True).fill("5-8")
    find.get_by_label("What did you find?").fill("The horn only ever plays two notes. Why?")
    find.get_by_role("button", name="Send to my tutor").click()
    expect(page.get_by_text("The horn only ever plays two notes.")).to_be_visible()


def student_reads_the_reply(student: Person) -> None:
    student.go("/")
    student.page.get_by_role("link", name=re.compile("Open tones")).click()
    expect(student.page.get_by_text("there is nothing else it could play")).to_be_visible()


# --- what several acts need --------------------------------------------------------
def choose_bars(page: Any, first: int, last: int) -> None:
    """With the keyboard, in the bar ruler."""
    page.locator(".score-page svg").first.wait_for()
    mark = page.get_by_role("button", name=f"Bar {first}", exact=True)
    mark.click()
    for _bar in range(last - first):
        page.keyboard.press("Shift+ArrowRight")


def menu(person: Person, name: str) -> None:
    main = person.page.get_by_role("navigation", name="Main")
    main.get_by_role("link", name=name).click()


def to_course(person: Person) -> None:
    menu(person, "Courses")
    person.page.get_by_role("link", name="Reading in the evening").click()
