// The spare page and rescue file; needs no other script.
function answer(request, loaded = "onsuccess") {
  return new Promise((done, fail) => {
    request[loaded] = () => done(request.result);
    request.onerror = () => fail(request.error);
  });
}

function base64(bytes) {
  const reader = new FileReader();
  const read = answer(reader, "onload");
  reader.readAsDataURL(new Blob([bytes]));
  return read.then((url) => url.split(",")[1] ?? "");
}

// All that is not sent, capture by capture, as photos are large.
export async function rescueFile() {
  const db = await answer(indexedDB.open("tackcloth"));
  const store = (name) => db.transaction(name).objectStore(name);
  const all = db.objectStoreNames.length ? await answer(store("captures").getAll()) : [];
  const rows = all.filter((row) => row.state !== "sent" && row.state !== "gone");
  const parts = [];
  for (const { id, state, reference, capture, photos } of rows) {
    const kept = {};
    for (const { sha256 } of photos) {
      const photo = await answer(store("photos").get(`${id}/${sha256}`));
      if (photo) kept[sha256] = await base64(photo.bytes);
    }
    const whole = JSON.stringify({ id, draft: state === "draft", capture: { ...capture, reference, photos }, photos: kept });
    parts.push(parts.length ? ",\n" : "\n", new Blob([whole]));
  }
  db.close();
  const savedAt = new Date().toISOString();
  const head = `{"tackcloth": "captures", "version": 1, "saved_at": "${savedAt}", "captures": [`;
  const file = new File([head, ...parts, "]}\n"], `captures-${savedAt.slice(0, 10)}.json`, { type: "application/json" });
  return { file, rows };
}

export function hand(file) {
  const link = Object.assign(document.createElement("a"), { href: URL.createObjectURL(file), download: file.name });
  link.click();
}

const list = document.getElementById("spare-list");
if (list) {
  const line = ({ reference, capture, photos }) =>
    Object.assign(document.createElement("p"), { textContent: `${reference} ${capture.what ?? ""}, photos: ${photos.length}` });
  const fail = ({ message }) => list.replaceChildren(message);
  rescueFile().then(({ rows }) => list.replaceChildren(`${rows.length} on this phone`, ...rows.map(line))).catch(fail);
  document.getElementById("spare-save").onclick = () => rescueFile().then(({ file }) => hand(file)).catch(fail);
}
