// "Copy the words": onto the clipboard where the page is safe enough for that, else they are selected.
const button = document.querySelector("[data-copies]");
const words = document.getElementById(button.dataset.copies);
const told = document.querySelector("[data-copied]");
button.hidden = false;
button.onclick = async () => {
  try {
    await navigator.clipboard.writeText(words.textContent);
    told.textContent = "Copied.";
  } catch {
    getSelection().selectAllChildren(words);
    told.textContent = "Selected: copy them now.";
  }
};
