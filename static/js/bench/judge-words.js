// The key that judges says beforehand what it will store: a clean fruit, or how many defects.

const marks = () => document.querySelectorAll('.defect-key > input[type="checkbox"]:checked').length;

function say() {
  const words = document.querySelector("[data-judge-words]");
  if (!words) return;
  const count = marks();
  words.hidden = false;
  words.textContent = count === 0 ? "Clean" : `${count} ${count === 1 ? "defect" : "defects"}`;
}

["change", "input", "click", "htmx:after:swap"].forEach((each) => document.addEventListener(each, say));
say();
