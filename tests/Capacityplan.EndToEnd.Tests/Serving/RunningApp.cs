using Capacityplan.Storage;
using Capacityplan.Web;
using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;

namespace Capacityplan.EndToEnd.Tests.Serving;

/// <summary>The program, serving on a loopback port of its own, with its data in a given folder. A second one started on
/// the folder of one that has stopped is that one, restarted.</summary>
internal sealed class RunningApp : IAsyncDisposable
{
    /// <summary>One for all tests' servers, so that the demo's phases are simulated once and not for every test.</summary>
    private static readonly SimulationMemory s_memory = new();

    private readonly WebApplication _app;
    private readonly LogOfErrors _errors = new();

    private RunningApp(WebApplication app) => _app = app;

    /// <summary>Its address.</summary>
    public Uri Address { get; private set; } = null!;

    /// <summary>What it logged as an error.</summary>
    public IReadOnlyCollection<string> Errors => _errors.Entries;

    /// <summary>Starts the program as its own Program does, with a port and a folder given on the command line.</summary>
    /// <param name="dataDirectory">Where it keeps its data.</param>
    /// <param name="port">Its port; 0 for any that is free.</param>
    /// <param name="tellsFaults">Whether the browser's console is told what went wrong on the server, and not only that something did.</param>
    public static async Task<RunningApp> StartAsync(string dataDirectory, int port = 0, bool tellsFaults = true)
    {
        WebApplication app = CapacityplanApp.Create(
        [
            $"--urls=http://127.0.0.1:{port}",
            $"--Capacityplan:DataDirectory={dataDirectory}",
            // Where a program looks for its assets follows from its name and folder, and those are not the test's.
            $"--applicationName={typeof(CapacityplanApp).Assembly.GetName().Name}",
            $"--contentRoot={AppContext.BaseDirectory}",
            "--Logging:Console:LogLevel:Default=None",
            $"--DetailedErrors={tellsFaults}",
        ], s_memory);
        var running = new RunningApp(app);
        app.Services.GetRequiredService<ILoggerFactory>().AddProvider(running._errors);
        await app.StartAsync();
        running.Address = new Uri(app.Urls.Single());
        return running;
    }

    /// <summary>Adds a plan like the demo's, which no other test touches.</summary>
    /// <returns>Its id.</returns>
    public async Task<Guid> AddDemoPlanAsync() => (await _app.Services.GetRequiredService<PlanStore>().CreateAsync(DemoJob.Draft)).Id;

    /// <summary>Stops it, as a signal to its process would.</summary>
    public async ValueTask DisposeAsync()
    {
        await _app.StopAsync();
        await _app.DisposeAsync();
    }
}
