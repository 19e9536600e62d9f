/** One file of a drawer's archive on its way between page and worker. */
export interface ArchivedBlob {
  readonly path: string;
  readonly blob: Blob;
}

/** What the archive's worker offers. Errors carry one plain sentence. */
export interface ArchiveApi {
  /** An archive is written file by file, one archive a worker: no more than one file is held at a time. */
  add(file: ArchivedBlob): Promise<void>;
  finish(): Blob;
  unpack(archive: Blob): Promise<readonly ArchivedBlob[]>;
}
