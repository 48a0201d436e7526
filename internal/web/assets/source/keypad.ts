// A pad of large keys for a figure, where the pointer is a finger.

function show(): void {
  const finger = matchMedia("(pointer: coarse)").matches;
  document.querySelectorAll<HTMLElement>("[data-keypad]").forEach((pad) => {
    pad.hidden = !finger;
    const field = document.getElementById(pad.dataset.keypad ?? "");
    if (finger && field instanceof HTMLInputElement) field.inputMode = "none"; // the pad is its keyboard
  });
}

/** Runs the keypads. */
export function keypads(): void {
  document.addEventListener("click", (event) => {
    const key = (event.target as HTMLElement).closest<HTMLElement>("[data-press]");
    const pad = key?.closest<HTMLElement>("[data-keypad]");
    const field = pad && document.getElementById(pad.dataset.keypad ?? "");
    if (!key || !(field instanceof HTMLInputElement)) return;
    const press = key.dataset.press ?? "";
    if (press === "back") field.value = field.value.slice(0, -1);
    else if (press === "−") field.value = field.value.startsWith("-") ? field.value.slice(1) : "-" + field.value;
    else field.value += press;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
  document.addEventListener("parts", show);
  show();
}
