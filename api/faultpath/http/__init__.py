"""The service over HTTP: routes, bodies, negotiation and problem documents. An adapter: it knows no rule."""
