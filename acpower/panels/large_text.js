// One switch for the text size of all panels of the page. It stands in front of the code of each panel.

const LARGE = "acpower-large"; // a class of the page's body

// Makes a button turn the switch, and calls `follow` now and whenever a panel has turned it.
// What comes back ends that.
function switchLargeText(button, follow) {
  const turned = () => {
    const large = document.body.classList.contains(LARGE);
    button.setAttribute("aria-pressed", large);
    follow(large);
  };
  button.addEventListener("click", () => {
    document.body.classList.toggle(LARGE);
    document.dispatchEvent(new Event(LARGE));
  });
  document.addEventListener(LARGE, turned);
  turned();
  return () => document.removeEventListener(LARGE, turned);
}

