using Capacityplan.Storage;
using Capacityplan.Web.Api;
using Capacityplan.Web.Catalogues;
using Capacityplan.Web.Components;
using Capacityplan.Web.Plans;
using Capacityplan.Web.Serving;
using Microsoft.AspNetCore.DataProtection;
using MudBlazor;
using MudBlazor.Services;

namespace Capacityplan.Web;

/// <summary>The composition root: what the program is made of and in which order a request passes through it.</summary>
public static partial class CapacityplanApp
{
    /// <summary>Largest message a browser may send over its circuit, in bytes: a paste of 2 million characters, which an
    /// input event carries twice, with room for the escaping the message format adds. <c>js/frame.js</c> stops a longer
    /// paste before it can cost the connection.</summary>
    internal const long MaximumMessageBytes = 8 * 1024 * 1024;

    /// <summary>How long a plan someone is working on outlives a lost connection, so that a laptop closed over lunch
    /// finds it as it was.</summary>
    private static readonly TimeSpan s_disconnectedCircuitRetention = TimeSpan.FromMinutes(30);

    /// <summary>Builds the program, ready to run. Configuration is ASP.NET Core's own, under <c>Capacityplan:</c>.</summary>
    /// <param name="args">The command line.</param>
    /// <param name="memory">What has been simulated already; nothing where null.</param>
    public static WebApplication Create(string[] args, SimulationMemory? memory = null)
    {
        WebApplicationBuilder builder = WebApplication.CreateBuilder(new WebApplicationOptions
        {
            Args = args,
            ContentRootPath = PublishedContentRoot(args),
        });

        // Only Development does this by itself; with it, a build that was not published serves its assets anywhere.
        builder.WebHost.UseStaticWebAssets();

        AddServices(builder, memory ?? new SimulationMemory());

        WebApplication app = builder.Build();
        UsePipeline(app);
        LogWhereToFindIt(app);
        return app;
    }

    /// <summary>Where a published program's assets and settings are: beside it, whichever folder it was started from.
    /// Null, which leaves it to the host, when it was not published or when a content root was named.</summary>
    private static string? PublishedContentRoot(string[] args)
    {
        const string Setting = "contentRoot";
        bool named = args.Any(arg => arg.TrimStart('-', '/').StartsWith(Setting, StringComparison.OrdinalIgnoreCase))
            || Environment.GetEnvironmentVariable("ASPNETCORE_" + Setting.ToUpperInvariant()) is not null
            || Environment.GetEnvironmentVariable("DOTNET_" + Setting.ToUpperInvariant()) is not null;
        return !named && Directory.Exists(Path.Combine(AppContext.BaseDirectory, "wwwroot")) ? AppContext.BaseDirectory : null;
    }

    private static void AddServices(WebApplicationBuilder builder, SimulationMemory memory)
    {
        DataDirectory data = DataDirectory.From(builder.Configuration);
        builder.Services.AddSingleton(data);
        builder.Services.AddDataProtection()
            .SetApplicationName("Capacityplan")
            .PersistKeysToFileSystem(data.PrivateSubdirectory("keys"));

        builder.Services.AddSingleton(TimeProvider.System);
        builder.Services.AddProblemDetails();
        // Who may frame a page is said once, in the security headers.
        builder.Services.AddAntiforgery(options => options.SuppressXFrameOptionsHeader = true);
        builder.Services.AddHealthChecks();
        builder.Services.AddResponseCompression();

        builder.Services.AddRazorComponents()
            .AddInteractiveServerComponents(options =>
                options.DisconnectedCircuitRetentionPeriod = s_disconnectedCircuitRetention)
            .AddHubOptions(options => options.MaximumReceiveMessageSize = MaximumMessageBytes);

        builder.Services.AddMudServices(options =>
        {
            options.SnackbarConfiguration.PositionClass = Defaults.Classes.Position.BottomLeft;
            options.SnackbarConfiguration.HideIcon = true;
            options.SnackbarConfiguration.ShowCloseIcon = false;
            options.SnackbarConfiguration.MaximumOpacity = 100;
            options.SnackbarConfiguration.SnackbarVariant = Variant.Text;
            // Long enough to read a sentence and reach its "Put it back".
            options.SnackbarConfiguration.VisibleStateDuration = 10_000;
            options.SnackbarConfiguration.ShowTransitionDuration = 120;
            options.SnackbarConfiguration.HideTransitionDuration = 120;
        });

        builder.Services.AddScoped<ThemeState>();
        builder.Services.AddSingleton<SimulationTurns>();
        builder.Services.AddSingleton(memory);
        builder.Services.AddSingleton<OpenPlans>();
        builder.Services.AddHostedService(services => services.GetRequiredService<OpenPlans>());
        builder.Services.AddCapacityplanStorage(builder.Configuration);
        builder.Services.AddHostedService<StorePreparation>();
        builder.Services.AddApi();
    }

    private static void UsePipeline(WebApplication app)
    {
        app.UseSecurityHeaders();
        app.UseResponseCompression();
        app.UseExceptionHandler("/error", createScopeForErrors: true);

        // A person gets a page; a script that asks the API for something that is not there gets problem details.
        app.UseStatusCodePagesWithReExecute("/not-found", createScopeForStatusCodePages: true);
        app.UseWhen(context => context.Request.Path.StartsWithSegments("/api"), api =>
        {
            api.UseStatusCodePages();
            api.UseExceptionHandler();
        });

        if (ServesHttps(app.Configuration))
            app.UseHttpsRedirection();

        app.UseAntiforgery();

        app.MapHealthChecks("/healthz");
        app.MapStaticAssets();
        app.MapOpenApi();
        app.MapForecastsApi();
        app.MapSimulationsApi();
        app.MapTaskGraphsApi();
        app.MapCataloguesApi();
        app.MapPlansApi();
        app.MapCatalogueDownloads();
        app.MapRazorComponents<App>()
            .AddInteractiveServerRenderMode(options => options.ContentSecurityFrameAncestorsPolicy = null);
    }

    /// <summary>True when a certificate-bearing address is configured; without one a redirect would lead nowhere.</summary>
    private static bool ServesHttps(IConfiguration configuration) =>
        (configuration[WebHostDefaults.ServerUrlsKey]?.Contains("https://", StringComparison.OrdinalIgnoreCase) ?? false)
        || !string.IsNullOrEmpty(configuration["HTTPS_PORTS"])
        || configuration.GetSection("Kestrel:Endpoints").GetChildren()
            .Any(endpoint => endpoint["Url"]?.StartsWith("https://", StringComparison.OrdinalIgnoreCase) ?? false);

    private static void LogWhereToFindIt(WebApplication app)
    {
        DataDirectory data = app.Services.GetRequiredService<DataDirectory>();
        app.Lifetime.ApplicationStarted.Register(() =>
        {
            // A test server has no address of its own.
            string addresses = string.Join(" or ", app.Urls);
            if (addresses.Length > 0)
                LogReady(app.Logger, addresses, data.Path);
        });
    }

    [LoggerMessage(Level = LogLevel.Information, Message = "Capacityplan is ready at {Addresses}. Its data is kept in {DataDirectory}.")]
    private static partial void LogReady(ILogger logger, string addresses, string dataDirectory);
}
