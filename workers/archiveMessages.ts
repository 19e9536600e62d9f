/** One file of a drawer's archive on its way between page and worker. */
export interface ArchivedBlob {
  readonly path: string;
  readonly blob: Blob;
}

/** What the archive's worker offers. Errors carry one plain sentence. */
export interface ArchiveApi {
  pack(files: readonly ArchivedBlob[]): Promise<Blob>;
  unpack(archive: Blob): Promise<readonly ArchivedBlob[]>;
}
