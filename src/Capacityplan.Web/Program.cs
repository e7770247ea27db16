using Capacityplan.Storage;
using Capacityplan.Web;

if (HealthCheckCommand.Asked(args))
    return await HealthCheckCommand.RunAsync(args);

try
{
    await CapacityplanApp.Create(args).RunAsync();
    return 0;
}
catch (StorageException exception)
{
    // Its message says what is wrong and what to do; a stack trace would only hide it.
    await Console.Error.WriteLineAsync(exception.Message);
    return 1;
}
