// The frame around every page: the skip link, and the answer that grows slim once the page has scrolled.

// The link's own jump would go through the router, which scrolls but does not move the focus.
document.addEventListener("click", event => {
  if (event.target.closest(".skip")) {
    event.preventDefault();
    document.getElementById("main")?.focus();
  }
});

// Two thresholds, so that the change of height cannot set it off again; and the height the answer loses is kept as space
// below it, so that nothing under it moves.
const slimAbove = 160;
const fullBelow = 100;
let slim = false;

function fitAnswer() {
  const wanted = slim ? scrollY > fullBelow : scrollY > slimAbove;
  if (wanted === slim)
    return;
  slim = wanted;
  const answer = document.querySelector(".answer");
  if (!answer)
    return;
  const before = answer.offsetHeight;
  document.documentElement.toggleAttribute("data-slim", slim);
  document.documentElement.style.setProperty("--slimmed", slim ? `${before - answer.offsetHeight}px` : "0px");
}

addEventListener("scroll", fitAnswer, { passive: true });
