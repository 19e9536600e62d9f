/** Where in the workbench one is. Written in the address after `#`, so that links, back and forward work anywhere. */
export type Route = { readonly place: 'drawer' } | { readonly place: 'bench'; readonly piece: string };

export function parseRoute(hash: string): Route {
  const [place, piece] = hash.replace(/^#?\/?/, '').split('/');
  if (place === 'bench' && piece) {
    try {
      return { place: 'bench', piece: decodeURIComponent(piece) };
    } catch {
      // A damaged escape in a link that was typed or cut short: the drawer is the place to start again.
    }
  }
  return { place: 'drawer' };
}

export function formatRoute(route: Route): string {
  return route.place === 'drawer' ? '#/drawer' : `#/bench/${encodeURIComponent(route.piece)}`;
}
