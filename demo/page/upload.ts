import type { Upload } from './wire.ts';

/** A chosen file as it goes over the page's socket. */
export async function readUpload(file: File): Promise<Upload> {
  const bytes = new Uint8Array(await file.arrayBuffer());
  let binary = '';
  for (let at = 0; at < bytes.length; at += 32_768) binary += String.fromCharCode(...bytes.subarray(at, at + 32_768));
  return { name: file.name, type: file.type, base64: btoa(binary) };
}
