// A button that prints is of use only where a script runs.

export function showPrint(page = document) {
  for (const button of page.querySelectorAll('[data-print]')) {
    button.hidden = false;
    button.onclick = () => globalThis.print();
  }
}
