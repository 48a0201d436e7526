"use strict";
(() => {
  // internal/web/assets/source/bundle-meters.ts
  var stream = null;
  var from = "";
  function follow() {
    const box = document.querySelector("[data-meters]");
    const wanted = box && !document.hidden ? box.dataset.meters ?? "" : "";
    if (wanted === from && (!wanted || stream?.readyState !== EventSource.CLOSED)) return;
    stream?.close();
    stream = null;
    from = wanted;
    if (!wanted) return;
    stream = new EventSource(wanted);
    const lost = (is) => {
      const note = document.getElementById("meters-lost");
      if (note) note.hidden = !is;
    };
    stream.addEventListener("open", () => lost(false));
    stream.addEventListener("error", () => lost(true));
    stream.addEventListener("message", (event) => {
      const { part, html } = JSON.parse(event.data);
      const at = document.getElementById(part);
      if (at) at.innerHTML = html;
    });
  }
  document.addEventListener("visibilitychange", follow);
  document.addEventListener("parts", follow);
  setInterval(follow, 5e3);
  follow();
})();
