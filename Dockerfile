# The site in a container: plans are kept in the volume /data, unless Capacityplan__Database names a PostgreSQL database.
#   docker build -t capacityplan .
#   docker run -p 8080:8080 -v capacityplan:/data capacityplan

FROM --platform=$BUILDPLATFORM mcr.microsoft.com/dotnet/sdk:10.0 AS build
ENV DOTNET_CLI_TELEMETRY_OPTOUT=1 DOTNET_NOLOGO=1
WORKDIR /source

# Packages first, so that a change of the sources alone does not fetch them again.
COPY global.json Directory.Build.props Directory.Build.targets Directory.Packages.props .editorconfig ./
COPY src/Capacityplan.Core/Capacityplan.Core.csproj src/Capacityplan.Core/packages.lock.json src/Capacityplan.Core/
COPY src/Capacityplan.Storage/Capacityplan.Storage.csproj src/Capacityplan.Storage/packages.lock.json src/Capacityplan.Storage/
COPY src/Capacityplan.Web/Capacityplan.Web.csproj src/Capacityplan.Web/packages.lock.json src/Capacityplan.Web/
RUN dotnet restore src/Capacityplan.Web --locked-mode

COPY src/ src/
COPY wwwroot-assets/ wwwroot-assets/
ARG TARGETARCH
# A later SDK of the same image may know warnings this commit was not checked for; they must not stop the image.
RUN dotnet publish src/Capacityplan.Web --no-restore --no-self-contained --arch $TARGETARCH --output /app \
    -p:TreatWarningsAsErrors=false

FROM mcr.microsoft.com/dotnet/aspnet:10.0
WORKDIR /app
RUN mkdir /data && chown "$APP_UID" /data
COPY --from=build /app ./
ENV Capacityplan__DataDirectory=/data
USER $APP_UID
VOLUME /data
EXPOSE 8080
# The image has no program to fetch an address with; the site asks itself.
HEALTHCHECK --interval=30s --timeout=6s --start-period=30s \
    CMD dotnet Capacityplan.Web.dll --check-health "http://127.0.0.1:${ASPNETCORE_HTTP_PORTS:-8080}/healthz"
ENTRYPOINT ["dotnet", "Capacityplan.Web.dll"]
