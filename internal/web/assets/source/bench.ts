// The script of every page. Without it all screens still work.
import { forms } from "./forms";
import { live } from "./live";
import { outbox } from "./outbox";
import { keypads } from "./keypad";
import { asking } from "./asking";

function dialogs(): void {
  document.addEventListener("click", (event) => {
    const at = event.target as HTMLElement;
    const opener = at.closest<HTMLElement>("[data-opens]");
    if (opener) (document.getElementById(opener.dataset.opens ?? "") as HTMLDialogElement | null)?.showModal();
    if (at.closest("[data-prints]")) print();
    document.querySelectorAll<HTMLDetailsElement>(".more[open]").forEach((menu) => { if (!menu.contains(at)) menu.open = false; });
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    document.querySelectorAll<HTMLDetailsElement>(".more[open]").forEach((menu) => {
      menu.open = false;
      menu.querySelector("summary")?.focus();
    });
  });
}

// tabs shows the row of screens at the place where one is, without moving the page.
function tabs(): void {
  document.querySelectorAll<HTMLElement>(".tabs").forEach((row) => {
    const here = row.querySelector<HTMLElement>('[aria-current="page"]');
    if (here) row.scrollLeft = here.offsetLeft - row.offsetLeft - (row.clientWidth - here.offsetWidth) / 2;
  });
}

addEventListener("popstate", () => location.reload());
forms();
outbox();
live();
keypads();
asking();
dialogs();
tabs();
