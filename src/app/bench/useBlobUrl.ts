import { useLayoutEffect, useState } from 'react';

/** An address for a picture held in memory, given back when it is no longer shown. */
export function useBlobUrl(blob: Blob | undefined): string | null {
  const [url, setUrl] = useState<string | null>(null);
  // Before it is shown: what comes into view shows its picture at once.
  useLayoutEffect(() => {
    if (blob === undefined) {
      setUrl(null);
      return;
    }
    const made = URL.createObjectURL(blob);
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [blob]);
  return url;
}
