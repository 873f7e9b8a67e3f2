/* The morning list asks for news every 15 s. While somebody fills in a decision, the
   list is left alone and only clients who are new to it are put on top. */
document.addEventListener("htmx:beforeSwap", (event) => {
  const { target, xhr } = event.detail;
  if (xhr.responseURL.includes("/accounts/login")) {
    event.detail.shouldSwap = false;
    location.reload();
    return;
  }
  if (target.id !== "triage-list" || xhr.status === 204) return;
  if (!target.querySelector("form.decide")) return;
  event.detail.shouldSwap = false;
  const fresh = new DOMParser().parseFromString(xhr.responseText, "text/html");
  const cards = document.getElementById("cards");
  for (const card of [...fresh.querySelectorAll("#cards > li")].reverse()) {
    if (document.getElementById(card.id)) continue;
    cards.prepend(document.adoptNode(card));
    htmx.process(card);
  }
});
