/** Hands a file to the browser to be saved on this computer. */
export function saveFile(name: string, content: Blob | string): void {
  const blob = typeof content === 'string' ? new Blob([content]) : content;
  const url = URL.createObjectURL(blob);
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // The browser has taken the file by the next turn of its loop, but some only start then.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** A text that can be a file's name anywhere. */
export function fileNameOf(words: string): string {
  return words.replaceAll(/[^\p{L}\p{N}._-]+/gu, '-').replaceAll(/^[-.]+|[-.]+$/g, '') || 'piece';
}
