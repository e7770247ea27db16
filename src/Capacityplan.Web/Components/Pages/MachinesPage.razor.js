// Enter and the arrow keys move up and down a column of blanks, as in a spreadsheet; Tab moves along the row by itself.
export function moveByKeys(table) {
  table.addEventListener("keydown", event => {
    const field = event.target.dataset?.field;
    if (!field || event.isComposing || event.altKey || event.ctrlKey || event.metaKey)
      return;
    const step = event.key === "ArrowDown" || (event.key === "Enter" && !event.shiftKey) ? 1
      : event.key === "ArrowUp" || (event.key === "Enter" && event.shiftKey) ? -1
      : 0;
    if (step === 0)
      return;
    const column = [...table.querySelectorAll(`input[data-field="${field}"]`)];
    const next = column[column.indexOf(event.target) + step];
    if (next) {
      event.preventDefault();
      next.focus();
      next.select();
    }
  });
}
