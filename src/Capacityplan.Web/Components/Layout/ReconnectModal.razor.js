const dialog = document.getElementById("components-reconnect-modal");

dialog.addEventListener("components-reconnect-state-changed", event => {
  switch (event.detail.state) {
    case "show":
    case "paused":
      open();
      break;
    case "hide":
      dialog.close();
      break;
    case "failed":
      open();
      // Someone who comes back to the tab most likely wants it to work again.
      document.addEventListener("visibilitychange", retryWhenVisible);
      break;
    case "rejected":
    case "resume-failed":
      // Not reloaded at once: what was typed but not saved is still on the page to be copied.
      open();
      break;
  }
});

dialog.addEventListener("click", event => {
  switch (event.target.dataset.act) {
    case "retry": retry(); break;
    case "resume": resume(); break;
    case "reload": location.reload(); break;
    case "look": look(); break;
  }
});

function open() {
  if (!dialog.open)
    dialog.showModal();
  // The state's own button, once the style sheet has put it there.
  requestAnimationFrame(() => [...dialog.querySelectorAll("button")].find(button => button.checkVisibility())?.focus());
}

// What stands on the page can be read and copied, but nothing answers any more: the bar below goes on saying so.
function look() {
  dialog.close();
  document.getElementById("blazor-error-ui").style.display = "block";
}

function say(state) {
  dialog.className = `components-reconnect-${state}`;
  open();
}

async function retry() {
  document.removeEventListener("visibilitychange", retryWhenVisible);
  try {
    if (await Blazor.reconnect() || await Blazor.resumeCircuit())
      dialog.close();
    else
      say("rejected");
  } catch {
    // Still no answer: the state stays "failed".
    document.addEventListener("visibilitychange", retryWhenVisible);
  }
}

async function resume() {
  try {
    if (await Blazor.resumeCircuit())
      dialog.close();
    else
      say("resume-failed");
  } catch {
    say("resume-failed");
  }
}

function retryWhenVisible() {
  if (document.visibilityState === "visible")
    retry();
}
