"use strict";
(() => {
  const { plan, unit, board, format, version, document: kind } = document.body.dataset;
  const shelf = board ? `recap:${plan}:${unit}/${board}` : `recap:${plan}:${kind} of ${unit}`;
  const expected = JSON.parse(document.getElementById("expected").textContent);
  const READING = /^[<>≤≥]?\s*[-−+]?\s*\d*(?:[.,]\d+)?$|^(?:OL|none|noise)$/i;
  const fields = [...document.querySelectorAll("[data-field]")];
  const keeping = document.getElementById("keeping");
  let unsaved = false;

  const valueOf = (field) => (field.type === "checkbox" ? field.checked : field.value.trim());
  const setValue = (field, value) => {
    if (field.type === "checkbox") field.checked = value === true;
    else field.value = typeof value === "string" ? value : "";
  };

  const gather = () => {
    const entries = { board_fields: {}, positions: {} };
    for (const field of fields) {
      const value = valueOf(field);
      if (value === "" || value === false) continue;
      const { key, field: name } = field.dataset;
      const place = key === "" ? entries.board_fields : (entries.positions[key] ??= {});
      place[name] = value;
    }
    return entries;
  };

  const spread = (entries) => {
    for (const field of fields) {
      const { key, field: name } = field.dataset;
      const place = key === "" ? entries.board_fields : entries.positions?.[key];
      setValue(field, place && Object.hasOwn(place, name) ? place[name] : undefined);
    }
  };

  const tell = (text, refused = false) => {
    keeping.textContent = text;
    keeping.classList.toggle("refused", refused);
  };

  const REFUSED = "This browser keeps nothing for this page. Save readings to a file before you close it.";

  const keep = () => {
    try {
      localStorage.setItem(shelf, JSON.stringify(gather()));
      if (localStorage.getItem(shelf) === null) throw new Error("not kept");
      tell("Ticks and readings stay in this browser.");
      return true;
    } catch {
      tell(REFUSED, true);
      return false;
    }
  };

  const recall = () => {
    try {
      const kept = localStorage.getItem(shelf);
      if (kept) spread(JSON.parse(kept));
    } catch {
      return;
    }
  };

  const look = () => {
    for (const field of document.querySelectorAll("[data-reading]")) {
      const sound = READING.test(field.value.trim());
      if (sound) field.removeAttribute("aria-invalid");
      else field.setAttribute("aria-invalid", "true");
    }
    const steps = [...document.querySelectorAll(".step")];
    const done = steps.filter((step) => {
      const ticks = [...step.querySelectorAll("input[type=checkbox]")];
      const rest = [...step.querySelectorAll("select, [data-needed]")];
      const finished = ticks.every((tick) => tick.checked) && rest.every((field) => field.value.trim() !== "");
      step.classList.toggle("done", finished);
      return finished;
    });
    document.getElementById("progress").textContent = `${done.length} of ${steps.length} steps finished`;
  };

  const save = () => {
    const text = JSON.stringify(
      { format, version: Number(version), document: kind, plan, unit, board, ...gather(), expected }, null, 1);
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text + "\n"], { type: "application/json" }));
    link.download = `readings ${unit} ${board || kind}`.replace(/[^\p{L}\p{N} ._-]+/gu, "_") + ".json";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    unsaved = false;
  };

  const load = async (input) => {
    const file = input.files[0];
    input.value = "";
    if (!file) return;
    let saved;
    try {
      saved = JSON.parse(await file.text());
    } catch {
      saved = null;
    }
    if (saved?.format !== format || saved.unit !== unit || saved.board !== board
      || (saved.document ?? kind) !== kind) {
      tell(`${file.name} holds no readings of this ${board ? "board" : "unit"}; nothing was changed.`, true);
      return;
    }
    spread(saved);
    look();
    const kept = keep();
    if (saved.plan !== plan) tell("Loaded. The file belongs to another plan: check every entry.", true);
    else if (kept) tell(`Loaded ${file.name}.`);
  };

  document.addEventListener("input", (event) => {
    if (!event.target.dataset.field) return;
    unsaved = !keep();
    look();
  });
  document.getElementById("save").addEventListener("click", save);
  document.getElementById("load").addEventListener("change", (event) => load(event.target));
  window.addEventListener("beforeunload", (event) => {
    if (unsaved) event.preventDefault();
  });

  recall();
  keep();
  look();
})();
