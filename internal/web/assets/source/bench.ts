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

addEventListener("popstate", () => location.reload());
forms();
outbox();
live();
keypads();
asking();
dialogs();
