/** Where in the workbench one is. Written in the address after `#`, so that links, back and forward work anywhere. */
export type Route =
  | { readonly place: 'drawer' }
  | { readonly place: 'bench'; readonly piece: string }
  | { readonly place: 'plate' }
  | { readonly place: 'lineup'; readonly view: LineupViewId };

/** What can be looked at in the lineup, in the order of its links. */
export const LINEUP_VIEWS = [
  'table',
  'distribution',
  'scatter',
  'continuum',
  'outlines',
  'shape',
  'groups',
  'repeat',
  'hand',
] as const;

export type LineupViewId = (typeof LINEUP_VIEWS)[number];

export function parseRoute(hash: string): Route {
  const [place, piece] = hash.replace(/^#?\/?/, '').split('/');
  if (place === 'bench' && piece) {
    try {
      return { place: 'bench', piece: decodeURIComponent(piece) };
    } catch {
      // A damaged escape in a link that was typed or cut short: the drawer is the place to start again.
    }
  }
  if (place === 'plate') return { place };
  if (place === 'lineup') {
    return { place, view: LINEUP_VIEWS.find((view) => view === piece) ?? LINEUP_VIEWS[0] };
  }
  return { place: 'drawer' };
}

export function formatRoute(route: Route): string {
  if (route.place === 'lineup') return `#/lineup/${route.view}`;
  if (route.place === 'plate') return '#/plate';
  return route.place === 'drawer' ? '#/drawer' : `#/bench/${encodeURIComponent(route.piece)}`;
}
