# Benchtag as one static program in an otherwise empty image.
#
#   docker build -t benchtag .
#   docker run -p 127.0.0.1:8080:8080 -v benchtag:/data \
#     -e BENCHTAG_PUBLIC_URL=https://bench.example -e BENCHTAG_TRUSTED_PROXY=172.17.0.0/16 benchtag
#
# The proxy in front speaks TLS; without one, or a certificate of its own, the
# program refuses to serve beyond its machine. The first start prints the
# set-up secret to the log.

FROM golang:1.26 AS build
WORKDIR /src
ENV CGO_ENABLED=0 GOTOOLCHAIN=local
COPY go.mod go.sum ./
RUN go mod download
COPY . .
# Makes the WebAssembly core for the tablet, which is not committed.
RUN go generate ./...
RUN go build -buildvcs=false -trimpath -ldflags='-s -w' -o /out/benchtag ./cmd/benchtag
# An empty image has no folders: one for the shop's data that only the program
# may enter, and one for its temporary files.
RUN install -d -m 0700 /out/root/data && install -d -m 1777 /out/root/tmp

FROM scratch
# Known certificate authorities, for an S3 store or a mail server over TLS.
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/
COPY --from=build --chown=65532:65532 /out/root/ /
COPY --from=build /out/benchtag /benchtag
# Not root; by number, as there is no list of users.
USER 65532:65532
ENV BENCHTAG_DATA=/data BENCHTAG_LISTEN=:8080
VOLUME /data
EXPOSE 8080
HEALTHCHECK --interval=30s --timeout=5s --start-period=30s --retries=3 CMD ["/benchtag", "health"]
ENTRYPOINT ["/benchtag"]
CMD ["serve"]
