"use strict";

// Plays one session. Everything it knows stands in the page's data (id "plan"): chapters,
// moments (what is being done) and captions, with times in whole milliseconds. Nothing is
// loaded but the recording, and nothing is kept but the place, the speed and the look.

(() => {
  const byId = (id) => document.getElementById(id);
  const plan = JSON.parse(byId("plan").textContent);
  const sound = byId("sound");
  const SKIP_MS = 10000;
  const SPEEDS = [0.7, 0.8, 0.9, 1, 1.1, 1.2];
  const SIZES = [1, 1.25, 1.5, 1.75, 2];

  // ---- Words ------------------------------------------------------------------------

  const plurals = new Intl.PluralRules(plan.language);
  /** The text of a catalogue entry; `n` also chooses between its forms (Unicode CLDR). */
  function say(key, fields = {}) {
    const forms = plan.words[key];
    const form = forms["n" in fields ? plurals.select(fields.n) : "other"] ?? forms.other;
    return form.replace(/\{(\w+)\}/g, (whole, name) => fields[name] ?? whole);
  }

  /** A length of time as it is said: "1 minute and 30 seconds". */
  function spokenTime(ms) {
    const total = Math.round(ms / 1000);
    const minutes = say("minutes", { n: Math.floor(total / 60) });
    const seconds = say("seconds", { n: total % 60 });
    if (total < 60) return seconds;
    return total % 60 ? say("minutes and seconds", { minutes, seconds }) : minutes;
  }

  /** A place as a clock: "2:05". */
  function clock(ms) {
    const total = Math.floor(ms / 1000);
    const two = (number) => String(number).padStart(2, "0");
    const [hours, minutes, seconds] = [Math.floor(total / 3600), Math.floor(total / 60) % 60, total % 60];
    return hours ? `${hours}:${two(minutes)}:${two(seconds)}` : `${minutes}:${two(seconds)}`;
  }

  /** Tell a screen reader what a press did. What the recording says by itself is not repeated. */
  function announce(text) {
    byId("said").textContent = "";
    setTimeout(() => { byId("said").textContent = text; }, 50);
  }

  function write(id, text) {
    if (byId(id).textContent !== text) byId(id).textContent = text;
  }

  // ---- What is remembered: a browser may refuse, then everything works but the memory -

  const [PLACE, LOOK] = [`breathmark:${plan.key}`, "breathmark:look"];

  function remembered(key) {
    try {
      return JSON.parse(localStorage.getItem(key)) ?? {};
    } catch {
      return {};
    }
  }

  function remember(key, value) {
    try {
      localStorage.setItem(key, JSON.stringify(value));
    } catch {
      // Private windows and some browsers' local files have no storage.
    }
  }

  // ---- The place in the recording -----------------------------------------------------

  let wanted = null; // where to begin as soon as the recording is open

  /** Where the recording is, in whole milliseconds. */
  function placeMs() {
    return wanted ?? Math.round(sound.currentTime * 1000);
  }

  function goTo(ms) {
    const to = Math.min(Math.max(0, ms), plan.length);
    if (sound.readyState >= HTMLMediaElement.HAVE_METADATA) {
      wanted = null;
      sound.currentTime = to / 1000;
    } else {
      wanted = to;
    }
    byId("resumed").hidden = true;
    show();
    keep();
  }

  function keep() {
    const ended = placeMs() >= plan.length - 1000;
    remember(PLACE, { place: ended ? 0 : placeMs(), speed: sound.defaultPlaybackRate });
  }

  /** The last of some parts that has begun; parts follow one another in time. */
  function begun(parts, ms) {
    let [low, high] = [0, parts.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (parts[middle].start <= ms) low = middle + 1;
      else high = middle;
    }
    return low - 1;
  }

  const chapterAt = () => Math.max(0, begun(plan.chapters, placeMs()));
  /** Go to the beginning of a chapter, and say which it is. */
  function goToChapter(index) {
    if (index < 0 || index >= plan.chapters.length) return;
    goTo(plan.chapters[index].start);
    announce(plan.chapters[index].title);
  }

  // ---- What is shown -------------------------------------------------------------------

  let [shownChapter, shownMoment, shownCue, shownSecond] = [-1, -1, -2, -1];

  /** Bring the page in step with the recording; only what has changed is touched. */
  function show() {
    const ms = placeMs();
    showChapter(chapterAt());
    showMoment(Math.max(0, begun(plan.moments, ms)), ms);
    showCue(ms);
    const second = Math.floor(ms / 1000);
    if (second === shownSecond) return;
    shownSecond = second;
    write("at", clock(ms));
    byId("place").value = second;
    const said = { at: spokenTime(ms), whole: spokenTime(plan.length), chapter: plan.chapters[shownChapter].title };
    byId("place").setAttribute("aria-valuetext", say("place said", said));
  }

  function showChapter(index) {
    if (index === shownChapter) return;
    shownChapter = index;
    write("chapter", plan.chapters[index].title);
    write("part", say("part", { n: index + 1, of: plan.chapters.length }));
    document.querySelectorAll(".chapter").forEach((button, at) => {
      if (at === index) button.setAttribute("aria-current", "true");
      else button.removeAttribute("aria-current");
    });
    document.querySelectorAll(".shown").forEach((picture) => {
      picture.hidden = Number(picture.dataset.chapter) !== index;
    });
    byId("previous").setAttribute("aria-disabled", String(index === 0));
    byId("next").setAttribute("aria-disabled", String(index === plan.chapters.length - 1));
    tellLockScreen();
  }

  function showMoment(index, ms) {
    const moment = plan.moments[index];
    if (index !== shownMoment) {
      shownMoment = index;
      write("doing", moment.words.join(" · "));
      byId("bar").dataset.fill = moment.fill;
    }
    write("left", clock(Math.max(0, moment.end - ms) + 999));
    byId("bar").style.width = `${(100 * (ms - moment.start)) / (moment.end - moment.start)}%`;
  }

  /** The words being said, or in brackets what else there is to hear. */
  function showCue(ms) {
    const last = begun(plan.cues, ms);
    const index = last >= 0 && ms < plan.cues[last].end ? last : -1;
    if (index === shownCue) return;
    shownCue = index;
    const text = index < 0 ? "" : plan.cues[index].text;
    write("caption", text);
    byId("caption").classList.toggle("sound", /^\[.*\]$/.test(text));
  }

  function frame() {
    show();
    if (!sound.paused) requestAnimationFrame(frame);
  }

  // ---- Playing ---------------------------------------------------------------------------

  function play() {
    if (sound.error) open();
    // A refusal shows itself: the button still says Play, or the error is told below.
    return sound.play().catch(() => showPlaying());
  }

  function toggle() {
    if (sound.paused) play();
    else sound.pause();
  }

  function showPlaying() {
    write("play-word", say(sound.paused ? "play" : "pause"));
    byId("play-sign").setAttribute("href", sound.paused ? "#sign-play" : "#sign-pause");
    if ("mediaSession" in navigator) navigator.mediaSession.playbackState = sound.paused ? "paused" : "playing";
  }

  function setSpeed(speed) {
    sound.preservesPitch = true;
    sound.webkitPreservesPitch = true;
    sound.defaultPlaybackRate = speed; // survives loading
    sound.playbackRate = speed;
    const percent = Math.round(speed * 100);
    write("rate", speed === 1 ? say("speed normal") : say("speed now", { n: percent }));
    byId("rate-note").hidden = speed === 1;
    write("rate-note", say("speed note", { time: spokenTime(30000 / speed) }));
    byId("slower").setAttribute("aria-disabled", String(speed === SPEEDS[0]));
    byId("faster").setAttribute("aria-disabled", String(speed === SPEEDS.at(-1)));
    return percent;
  }

  function changeSpeed(step) {
    const speed = SPEEDS[SPEEDS.indexOf(sound.defaultPlaybackRate) + step];
    if (!speed) return;
    announce(say("speed said", { n: setSpeed(speed) }));
    keep();
  }

  // ---- Opening the recording ---------------------------------------------------------------

  const carried = byId("recording");

  /** Open the recording: the one inside the page, one that was chosen, or the file beside it. */
  function open(file) {
    wanted = placeMs();
    byId("trouble").hidden = true;
    if (file || carried) sound.src = URL.createObjectURL(file ?? carriedSound());
    else sound.load();
  }

  function carriedSound() {
    const text = atob(carried.textContent);
    const bytes = new Uint8Array(text.length);
    for (let at = 0; at < text.length; at += 1) bytes[at] = text.charCodeAt(at);
    return new Blob([bytes], { type: plan.type });
  }

  function opened() {
    if (wanted !== null) {
      sound.currentTime = wanted / 1000;
      wanted = null;
    }
    byId("trouble").hidden = true;
    const heard = sound.duration * 1000;
    if (Math.abs(heard - plan.length) > 1500) {
      const lengths = { time: spokenTime(heard), whole: spokenTime(plan.length), file: plan.file };
      tellTrouble(say("other"), say("other length", lengths));
    }
    show();
  }

  function tellTrouble(what, remedy) {
    write("trouble-what", what);
    write("trouble-remedy", remedy);
    byId("trouble-tools").hidden = Boolean(carried);
    byId("trouble").hidden = false;
  }

  function failed() {
    wanted ??= 0;
    showPlaying();
    const unable = carried || !sound.canPlayType(plan.type); // no folder would help
    tellTrouble(say("missing"), unable ? say("missing inside") : say("missing what", { file: plan.file }));
  }

  // ---- The lock screen and the keys of headsets (W3C, Media Session) ---------------------------

  function tellLockScreen() {
    if (!("mediaSession" in navigator)) return;
    navigator.mediaSession.metadata = new MediaMetadata({
      title: plan.chapters[shownChapter].title,
      album: plan.title,
    });
  }

  function takeMediaKeys() {
    if (!("mediaSession" in navigator)) return;
    const actions = {
      play,
      pause: () => sound.pause(),
      seekbackward: () => goTo(placeMs() - SKIP_MS),
      seekforward: () => goTo(placeMs() + SKIP_MS),
      seekto: (details) => goTo(details.seekTime * 1000),
      previoustrack: () => goToChapter(chapterAt() - 1),
      nexttrack: () => goToChapter(chapterAt() + 1),
    };
    for (const [name, action] of Object.entries(actions)) {
      try {
        navigator.mediaSession.setActionHandler(name, action);
      } catch {
        // An older browser does not know this action.
      }
    }
  }

  // ---- Keys and buttons ------------------------------------------------------------------------

  /** Space and the arrows, except where the focused element has its own use for them. */
  function pressed(event) {
    if (event.altKey || event.ctrlKey || event.metaKey || event.defaultPrevented) return;
    const own = event.target.closest("button, summary, input, .scroll");
    const ahead = document.documentElement.dir === "rtl" ? "ArrowLeft" : "ArrowRight";
    if (event.key === " " && (!own || own.id === "place")) toggle();
    else if (/^Arrow(Left|Right)$/.test(event.key) && !own?.matches(".scroll, [type=file]")) {
      const step = event.key === ahead ? 1 : -1;
      if (event.shiftKey) goToChapter(chapterAt() + step);
      else goTo(placeMs() + step * SKIP_MS);
    } else return;
    event.preventDefault();
  }

  // Without a choice of one's own, the colours are the system's.
  let look = { size: 1, ...remembered(LOOK) };
  const systemDark = matchMedia("(prefers-color-scheme: dark)");

  function setLook() {
    const size = SIZES.includes(look.size) ? look.size : 1;
    const dark = look.dark ?? systemDark.matches;
    const root = document.documentElement;
    root.style.setProperty("--size", size);
    root.dataset.colours = dark ? "dark" : "light";
    const name = say(dark ? "light" : "dark");
    byId("colours").setAttribute("aria-label", name);
    byId("colours").title = name;
    byId("smaller").setAttribute("aria-disabled", String(size === SIZES[0]));
    byId("larger").setAttribute("aria-disabled", String(size === SIZES.at(-1)));
  }

  function changeLook(change) {
    look = { ...look, ...change };
    remember(LOOK, look);
    setLook();
  }

  function changeSize(step) {
    const size = SIZES[SIZES.indexOf(look.size) + step];
    if (size) changeLook({ size });
  }

  const presses = {
    play: toggle,
    back: () => goTo(placeMs() - SKIP_MS),
    repeat: () => { goToChapter(chapterAt()); play(); },
    previous: () => goToChapter(chapterAt() - 1),
    next: () => goToChapter(chapterAt() + 1),
    slower: () => changeSpeed(-1),
    faster: () => changeSpeed(1),
    restart: () => { goTo(0); byId("play").focus(); play(); },
    again: () => open(),
    smaller: () => changeSize(-1),
    larger: () => changeSize(1),
    colours: () => changeLook({ dark: !(look.dark ?? systemDark.matches) }),
  };

  // ---- Begin -----------------------------------------------------------------------------------

  for (const [id, press] of Object.entries(presses)) byId(id).addEventListener("click", press);
  document.querySelectorAll(".chapter").forEach((button, index) => {
    button.addEventListener("click", () => { goToChapter(index); play(); });
  });
  byId("place").max = Math.ceil(plan.length / 1000);
  byId("place").addEventListener("input", (event) => goTo(Number(event.target.value) * 1000));
  byId("choose").addEventListener("change", (event) => { if (event.target.files[0]) open(event.target.files[0]); });
  document.addEventListener("keydown", pressed);

  sound.addEventListener("loadedmetadata", opened);
  sound.addEventListener("error", failed);
  sound.addEventListener("play", () => { byId("resumed").hidden = true; showPlaying(); frame(); });
  sound.addEventListener("pause", () => { showPlaying(); keep(); });
  sound.addEventListener("seeked", show);
  sound.addEventListener("timeupdate", () => { show(); keep(); });
  sound.addEventListener("ended", () => { showPlaying(); keep(); });
  addEventListener("pagehide", keep);
  systemDark.addEventListener("change", setLook);

  const before = remembered(PLACE);
  setLook();
  setSpeed(SPEEDS.includes(before.speed) ? before.speed : 1);
  write("whole", clock(plan.length));
  if (before.place > 5000 && before.place < plan.length) {
    wanted = before.place;
    const chapter = plan.chapters[chapterAt()].title;
    write("resumed-words", say("resumed", { time: clock(before.place), chapter }));
    byId("resumed").hidden = false;
    announce(byId("resumed-words").textContent);
  }
  takeMediaKeys();
  byId("no-script").hidden = true;
  if (carried) open();
  else if (sound.error) failed();
  else if (sound.readyState >= HTMLMediaElement.HAVE_METADATA) opened();
  show();
})();
