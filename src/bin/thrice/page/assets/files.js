// Reading what she chooses or drops: texts and bytes, never a path.

const MOST = 6 * 1024 * 1024;

/** The text of a file she chose. */
export async function readText(file) {
  if (file.size > MOST) throw new Error(`${file.name} has ${(file.size / 1048576).toFixed(1)} MB; the page takes up to 6.`);
  return file.text();
}

/** The bytes of a file she chose, as base64. */
export async function readBytes(file) {
  if (file.size > MOST) throw new Error(`${file.name} has ${(file.size / 1048576).toFixed(1)} MB; the page takes up to 6.`);
  const bytes = new Uint8Array(await file.arrayBuffer());
  let binary = "";
  for (let i = 0; i < bytes.length; i += 0x8000) binary += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
  return btoa(binary);
}
